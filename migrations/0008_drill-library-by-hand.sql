-- What the generator cannot write, for the drill library: forced row security and the service's rights.
DO $$
DECLARE t regclass;
BEGIN
  FOR t IN SELECT c.oid FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace
           WHERE n.nspname = 'public' AND c.relkind = 'r' AND c.relrowsecurity AND NOT c.relforcerowsecurity LOOP
    EXECUTE format('ALTER TABLE %s FORCE ROW LEVEL SECURITY', t);
  END LOOP;
END $$;
--> statement-breakpoint
GRANT SELECT, INSERT, UPDATE, DELETE ON drill_levels, drill_equipment, out_of_use TO matside_service;
--> statement-breakpoint
-- A drill is retired, not deleted.
REVOKE DELETE ON drills FROM matside_service;
