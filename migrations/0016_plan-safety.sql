ALTER TABLE "plan_step_drills" ADD COLUMN "spotting" jsonb;--> statement-breakpoint
ALTER TABLE "sessions" ADD COLUMN "term_id" uuid;--> statement-breakpoint
ALTER TABLE "sessions" ADD COLUMN "term_week" integer;--> statement-breakpoint
ALTER TABLE "sessions" ADD CONSTRAINT "sessions_franchise_id_term_id_terms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","term_id") REFERENCES "public"."terms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
CREATE INDEX "sessions_term" ON "sessions" USING btree ("franchise_id","term_id");--> statement-breakpoint
ALTER TABLE "sessions" ADD CONSTRAINT "sessions_term_week" CHECK (num_nulls("sessions"."term_id", "sessions"."term_week") IN (0, 2));