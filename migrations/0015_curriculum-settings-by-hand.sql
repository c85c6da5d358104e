-- What the generator cannot write, for the settings and heights: forced row security and the service's rights. Settings are changed, not deleted; a height may be taken away.
ALTER TABLE curriculum_settings FORCE ROW LEVEL SECURITY;
--> statement-breakpoint
ALTER TABLE athlete_statures FORCE ROW LEVEL SECURITY;
--> statement-breakpoint
GRANT SELECT, INSERT, UPDATE ON curriculum_settings TO matside_service;
--> statement-breakpoint
GRANT SELECT, INSERT, UPDATE, DELETE ON athlete_statures TO matside_service;
