-- What the generator cannot write, for teaching: forced row security and the service's rights; what was said is kept.
DO $$
DECLARE t regclass;
BEGIN
  FOR t IN SELECT c.oid FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace
           WHERE n.nspname = 'public' AND c.relkind = 'r' AND c.relrowsecurity AND NOT c.relforcerowsecurity LOOP
    EXECUTE format('ALTER TABLE %s FORCE ROW LEVEL SECURITY', t);
  END LOOP;
END $$;
--> statement-breakpoint
GRANT SELECT, INSERT, UPDATE ON adaptations, station_feedback, pair_requests, taught_stations, skills_shown,
  level_criteria, level_moves TO matside_service;
--> statement-breakpoint
REVOKE DELETE ON adaptations, station_feedback, pair_requests, taught_stations, skills_shown, level_criteria,
  level_moves FROM matside_service;
--> statement-breakpoint
GRANT SELECT, INSERT, UPDATE, DELETE ON level_criterion_skills TO matside_service;
