-- What the generator cannot write: forced row security and the service's rights; what was said is kept.
ALTER TABLE block_step_downs FORCE ROW LEVEL SECURITY;
--> statement-breakpoint
GRANT SELECT, INSERT, UPDATE ON block_step_downs TO matside_service;
--> statement-breakpoint
REVOKE DELETE ON block_step_downs FROM matside_service;
