-- A version that was published before each drill kept its own need has what each station asks: its drills together. Each
-- drill gets that: never less than it asked, and no longer what the library says by now. Of a station with one drill it is
-- what the drill asked.
ALTER TABLE plan_step_drills NO FORCE ROW LEVEL SECURITY;
--> statement-breakpoint
ALTER TABLE plan_steps NO FORCE ROW LEVEL SECURITY;
--> statement-breakpoint
ALTER TABLE plan_stations NO FORCE ROW LEVEL SECURITY;
--> statement-breakpoint
UPDATE plan_step_drills d SET spotting = st.spotting
FROM plan_steps s JOIN plan_stations st ON st.franchise_id = s.franchise_id AND st.id = s.station_id
WHERE s.franchise_id = d.franchise_id AND s.id = d.step_id AND d.spotting IS NULL AND st.spotting IS NOT NULL;
--> statement-breakpoint
ALTER TABLE plan_step_drills FORCE ROW LEVEL SECURITY;
--> statement-breakpoint
ALTER TABLE plan_steps FORCE ROW LEVEL SECURITY;
--> statement-breakpoint
ALTER TABLE plan_stations FORCE ROW LEVEL SECURITY;
