-- What plans said in the shape before: each step's one drill, and what each block's stations stand on. The owner is held to
-- the row policies too, so these tables are let go for as long as their rows are copied.
ALTER TABLE plan_blocks NO FORCE ROW LEVEL SECURITY;
--> statement-breakpoint
ALTER TABLE plan_stations NO FORCE ROW LEVEL SECURITY;
--> statement-breakpoint
ALTER TABLE plan_steps NO FORCE ROW LEVEL SECURITY;
--> statement-breakpoint
INSERT INTO plan_step_drills (franchise_id, step_id, drill_id, position)
SELECT franchise_id, id, drill_id, 1 FROM plan_steps;
--> statement-breakpoint
INSERT INTO plan_block_apparatus (franchise_id, plan_block_id, apparatus_id, position)
SELECT franchise_id, plan_block_id, apparatus_id, row_number() OVER (PARTITION BY franchise_id, plan_block_id ORDER BY min(position))
FROM plan_stations GROUP BY franchise_id, plan_block_id, apparatus_id;
--> statement-breakpoint
-- What the generator cannot write: forced row security and the service's rights.
DO $$
DECLARE t regclass;
BEGIN
  FOR t IN SELECT c.oid FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace
           WHERE n.nspname = 'public' AND c.relkind = 'r' AND c.relrowsecurity AND NOT c.relforcerowsecurity LOOP
    EXECUTE format('ALTER TABLE %s FORCE ROW LEVEL SECURITY', t);
  END LOOP;
END $$;
--> statement-breakpoint
GRANT SELECT, INSERT, UPDATE, DELETE ON plan_focuses, plan_focus_skills, plan_block_apparatus, plan_pieces, plan_step_drills,
  terms, term_weeks, term_skills TO matside_service;
--> statement-breakpoint
-- Who has seen what, who asked what, and where a class was put, is kept.
GRANT SELECT, INSERT ON briefing_readers, term_places TO matside_service;
--> statement-breakpoint
GRANT SELECT, INSERT, UPDATE ON briefing_questions TO matside_service;
--> statement-breakpoint
GRANT SELECT, INSERT, UPDATE, DELETE ON drill_levels, drill_equipment, out_of_use TO matside_service;
--> statement-breakpoint
-- A drill is retired, not deleted.
REVOKE DELETE ON drills FROM matside_service;
--> statement-breakpoint
GRANT SELECT, INSERT, UPDATE ON adaptations, station_feedback, pair_requests, taught_stations, skills_shown,
  level_criteria, level_moves TO matside_service;
--> statement-breakpoint
REVOKE DELETE ON adaptations, station_feedback, pair_requests, taught_stations, skills_shown, level_criteria,
  level_moves FROM matside_service;
--> statement-breakpoint
GRANT SELECT, INSERT, UPDATE, DELETE ON level_criterion_skills TO matside_service;
--> statement-breakpoint
GRANT SELECT, INSERT, UPDATE ON curriculum_settings TO matside_service;
--> statement-breakpoint
GRANT SELECT, INSERT, UPDATE, DELETE ON athlete_statures TO matside_service;
