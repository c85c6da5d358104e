-- What the generator cannot write: exclusion constraints, forced row security, the service's role and its rights.

CREATE EXTENSION IF NOT EXISTS btree_gist;
--> statement-breakpoint
-- Nobody on the staff is in two places at once, whatever the code above this did.
ALTER TABLE assignments ADD CONSTRAINT assignments_one_place
  EXCLUDE USING gist (franchise_id WITH =, person_id WITH =, tstzrange(starts_at, ends_at) WITH &&) WHERE (released_at IS NULL);
--> statement-breakpoint
-- Nor is any athlete.
ALTER TABLE group_members ADD CONSTRAINT group_members_one_place
  EXCLUDE USING gist (franchise_id WITH =, athlete_id WITH =, tstzrange(starts_at, ends_at) WITH &&) WHERE (released_at IS NULL);
--> statement-breakpoint
-- A group teaches one thing at a time; blocks of a layout that another took the place of are not taught.
ALTER TABLE blocks ADD CONSTRAINT blocks_one_at_a_time
  EXCLUDE USING gist (franchise_id WITH =, group_id WITH =, tstzrange(starts_at, ends_at) WITH &&)
  WHERE (superseded_at IS NULL);
--> statement-breakpoint
-- Nobody is employed twice at one gym on one day, nor enrolled twice in one class.
ALTER TABLE employments ADD CONSTRAINT employments_once
  EXCLUDE USING gist (franchise_id WITH =, person_id WITH =, gym_id WITH =, daterange(from_day, until_day) WITH &&);
--> statement-breakpoint
ALTER TABLE enrolments ADD CONSTRAINT enrolments_once
  EXCLUDE USING gist (franchise_id WITH =, athlete_id WITH =, class_id WITH =, daterange(from_day, until_day) WITH &&);
--> statement-breakpoint
-- Nor has an athlete one trait, need or helper twice on one day.
ALTER TABLE athlete_traits ADD CONSTRAINT athlete_traits_once
  EXCLUDE USING gist (franchise_id WITH =, athlete_id WITH =, trait WITH =, daterange(from_day, until_day) WITH &&);
--> statement-breakpoint
ALTER TABLE athlete_supports ADD CONSTRAINT athlete_supports_once
  EXCLUDE USING gist (franchise_id WITH =, athlete_id WITH =, daterange(from_day, until_day) WITH &&);
--> statement-breakpoint
ALTER TABLE athlete_helpers ADD CONSTRAINT athlete_helpers_once
  EXCLUDE USING gist (franchise_id WITH =, athlete_id WITH =, helper_id WITH =, daterange(from_day, until_day) WITH &&);
--> statement-breakpoint
-- The owner of the tables is held to the row policies as well.
DO $$
DECLARE t regclass;
BEGIN
  FOR t IN SELECT c.oid FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace
           WHERE n.nspname = 'public' AND c.relkind = 'r' AND c.relrowsecurity LOOP
    EXECUTE format('ALTER TABLE %s FORCE ROW LEVEL SECURITY', t);
  END LOOP;
END $$;
--> statement-breakpoint
-- The service owns nothing and passes no row policy by. The launcher, or whoever runs the database, gives it a way to sign in.
DO $$
BEGIN
  IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'matside_service') THEN
    CREATE ROLE matside_service NOLOGIN NOSUPERUSER NOBYPASSRLS NOCREATEDB NOCREATEROLE;
  END IF;
END $$;
--> statement-breakpoint
GRANT USAGE ON SCHEMA public TO matside_service;
--> statement-breakpoint
GRANT SELECT, INSERT, UPDATE, DELETE ON ALL TABLES IN SCHEMA public TO matside_service;
--> statement-breakpoint
-- What happened, and what a rule said, stays as it was written.
REVOKE UPDATE, DELETE ON events, ratio_rules FROM matside_service;
--> statement-breakpoint
REVOKE DELETE ON assignments, overrides, absences, qualifications, employments, enrolments, group_members FROM matside_service;
