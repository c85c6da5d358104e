ALTER TABLE "plan_steps" DROP CONSTRAINT "plan_steps_franchise_id_drill_id_drills_franchise_id_id_fk";
--> statement-breakpoint
ALTER TABLE "plan_steps" DROP COLUMN "drill_id";