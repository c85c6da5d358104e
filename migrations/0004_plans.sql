CREATE TABLE "briefing_questions" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"plan_version_id" uuid NOT NULL,
	"asked_by" uuid NOT NULL,
	"asked_at" timestamp with time zone NOT NULL,
	"question" text NOT NULL,
	"answered_by" uuid,
	"answered_at" timestamp with time zone,
	"answer" text,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "briefing_questions_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "briefing_questions" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "briefing_readers" (
	"franchise_id" uuid NOT NULL,
	"plan_version_id" uuid NOT NULL,
	"account_id" uuid NOT NULL,
	"seen_at" timestamp with time zone NOT NULL,
	CONSTRAINT "briefing_readers_franchise_id_plan_version_id_account_id_pk" PRIMARY KEY("franchise_id","plan_version_id","account_id")
);
--> statement-breakpoint
ALTER TABLE "briefing_readers" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "plan_block_apparatus" (
	"franchise_id" uuid NOT NULL,
	"plan_block_id" uuid NOT NULL,
	"apparatus_id" uuid NOT NULL,
	"position" integer NOT NULL,
	CONSTRAINT "plan_block_apparatus_franchise_id_plan_block_id_apparatus_id_pk" PRIMARY KEY("franchise_id","plan_block_id","apparatus_id")
);
--> statement-breakpoint
ALTER TABLE "plan_block_apparatus" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "plan_focus_skills" (
	"franchise_id" uuid NOT NULL,
	"focus_id" uuid NOT NULL,
	"skill_id" uuid NOT NULL,
	"position" integer NOT NULL,
	"standing" text NOT NULL,
	CONSTRAINT "plan_focus_skills_franchise_id_focus_id_skill_id_pk" PRIMARY KEY("franchise_id","focus_id","skill_id")
);
--> statement-breakpoint
ALTER TABLE "plan_focus_skills" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "plan_focuses" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"plan_version_id" uuid NOT NULL,
	"position" integer NOT NULL,
	"apparatus_id" uuid NOT NULL,
	"next_week" text,
	CONSTRAINT "plan_focuses_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "plan_focuses" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "plan_pieces" (
	"franchise_id" uuid NOT NULL,
	"station_id" uuid NOT NULL,
	"position" integer NOT NULL,
	"choice" integer NOT NULL,
	"apparatus_id" uuid NOT NULL,
	"amount" integer NOT NULL,
	"job" text NOT NULL,
	"for_mixed_sizes" boolean NOT NULL,
	CONSTRAINT "plan_pieces_franchise_id_station_id_position_choice_pk" PRIMARY KEY("franchise_id","station_id","position","choice")
);
--> statement-breakpoint
ALTER TABLE "plan_pieces" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "plan_step_drills" (
	"franchise_id" uuid NOT NULL,
	"step_id" uuid NOT NULL,
	"drill_id" uuid NOT NULL,
	"position" integer NOT NULL,
	CONSTRAINT "plan_step_drills_franchise_id_step_id_drill_id_pk" PRIMARY KEY("franchise_id","step_id","drill_id")
);
--> statement-breakpoint
ALTER TABLE "plan_step_drills" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "term_places" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"term_id" uuid NOT NULL,
	"class_id" uuid NOT NULL,
	"from_day" date NOT NULL,
	"week" integer NOT NULL,
	"reason" text NOT NULL,
	"set_by" uuid,
	"set_at" timestamp with time zone NOT NULL,
	CONSTRAINT "term_places_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "term_places" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "term_skills" (
	"franchise_id" uuid NOT NULL,
	"term_id" uuid NOT NULL,
	"number" integer NOT NULL,
	"skill_id" uuid NOT NULL,
	"standing" text NOT NULL,
	CONSTRAINT "term_skills_franchise_id_term_id_number_skill_id_pk" PRIMARY KEY("franchise_id","term_id","number","skill_id")
);
--> statement-breakpoint
ALTER TABLE "term_skills" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "term_weeks" (
	"franchise_id" uuid NOT NULL,
	"term_id" uuid NOT NULL,
	"number" integer NOT NULL,
	"plan_id" uuid,
	"note" text NOT NULL,
	CONSTRAINT "term_weeks_franchise_id_term_id_number_pk" PRIMARY KEY("franchise_id","term_id","number"),
	CONSTRAINT "term_weeks_number" CHECK ("term_weeks"."number" >= 1)
);
--> statement-breakpoint
ALTER TABLE "term_weeks" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "terms" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"programme_id" uuid NOT NULL,
	"title" text NOT NULL,
	"starts_on" date NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "terms_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "terms" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
ALTER TABLE "plan_steps" ALTER COLUMN "dose" DROP NOT NULL;--> statement-breakpoint
ALTER TABLE "plan_blocks" ADD COLUMN "formation" text DEFAULT 'stations' NOT NULL;--> statement-breakpoint
ALTER TABLE "plan_blocks" ADD COLUMN "importance" integer DEFAULT 1 NOT NULL;--> statement-breakpoint
ALTER TABLE "plan_stations" ADD COLUMN "places" integer;--> statement-breakpoint
ALTER TABLE "plan_stations" ADD COLUMN "stays_up" boolean DEFAULT false NOT NULL;--> statement-breakpoint
ALTER TABLE "plan_steps" ADD COLUMN "choose_by" text;--> statement-breakpoint
ALTER TABLE "plan_steps" ADD COLUMN "dose_amount" integer;--> statement-breakpoint
ALTER TABLE "plan_steps" ADD COLUMN "dose_unit" text;--> statement-breakpoint
ALTER TABLE "plan_steps" ADD COLUMN "dose_sets" integer DEFAULT 1 NOT NULL;--> statement-breakpoint
ALTER TABLE "plan_steps" ADD COLUMN "dose_each_side" boolean DEFAULT false NOT NULL;--> statement-breakpoint
ALTER TABLE "plan_versions" ADD COLUMN "effective_week" date;--> statement-breakpoint
ALTER TABLE "plan_versions" ADD COLUMN "note" text DEFAULT '' NOT NULL;--> statement-breakpoint
ALTER TABLE "briefing_questions" ADD CONSTRAINT "briefing_questions_franchise_id_plan_version_id_plan_versions_franchise_id_id_fk" FOREIGN KEY ("franchise_id","plan_version_id") REFERENCES "public"."plan_versions"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "briefing_questions" ADD CONSTRAINT "briefing_questions_franchise_id_asked_by_members_franchise_id_account_id_fk" FOREIGN KEY ("franchise_id","asked_by") REFERENCES "public"."members"("franchise_id","account_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "briefing_questions" ADD CONSTRAINT "briefing_questions_franchise_id_answered_by_members_franchise_id_account_id_fk" FOREIGN KEY ("franchise_id","answered_by") REFERENCES "public"."members"("franchise_id","account_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "briefing_readers" ADD CONSTRAINT "briefing_readers_franchise_id_plan_version_id_plan_versions_franchise_id_id_fk" FOREIGN KEY ("franchise_id","plan_version_id") REFERENCES "public"."plan_versions"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "briefing_readers" ADD CONSTRAINT "briefing_readers_franchise_id_account_id_members_franchise_id_account_id_fk" FOREIGN KEY ("franchise_id","account_id") REFERENCES "public"."members"("franchise_id","account_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "plan_block_apparatus" ADD CONSTRAINT "plan_block_apparatus_franchise_id_plan_block_id_plan_blocks_franchise_id_id_fk" FOREIGN KEY ("franchise_id","plan_block_id") REFERENCES "public"."plan_blocks"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "plan_block_apparatus" ADD CONSTRAINT "plan_block_apparatus_franchise_id_apparatus_id_apparatus_franchise_id_id_fk" FOREIGN KEY ("franchise_id","apparatus_id") REFERENCES "public"."apparatus"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "plan_focus_skills" ADD CONSTRAINT "plan_focus_skills_franchise_id_focus_id_plan_focuses_franchise_id_id_fk" FOREIGN KEY ("franchise_id","focus_id") REFERENCES "public"."plan_focuses"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "plan_focus_skills" ADD CONSTRAINT "plan_focus_skills_franchise_id_skill_id_skills_franchise_id_id_fk" FOREIGN KEY ("franchise_id","skill_id") REFERENCES "public"."skills"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "plan_focuses" ADD CONSTRAINT "plan_focuses_franchise_id_plan_version_id_plan_versions_franchise_id_id_fk" FOREIGN KEY ("franchise_id","plan_version_id") REFERENCES "public"."plan_versions"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "plan_focuses" ADD CONSTRAINT "plan_focuses_franchise_id_apparatus_id_apparatus_franchise_id_id_fk" FOREIGN KEY ("franchise_id","apparatus_id") REFERENCES "public"."apparatus"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "plan_pieces" ADD CONSTRAINT "plan_pieces_franchise_id_station_id_plan_stations_franchise_id_id_fk" FOREIGN KEY ("franchise_id","station_id") REFERENCES "public"."plan_stations"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "plan_pieces" ADD CONSTRAINT "plan_pieces_franchise_id_apparatus_id_apparatus_franchise_id_id_fk" FOREIGN KEY ("franchise_id","apparatus_id") REFERENCES "public"."apparatus"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "plan_step_drills" ADD CONSTRAINT "plan_step_drills_franchise_id_step_id_plan_steps_franchise_id_id_fk" FOREIGN KEY ("franchise_id","step_id") REFERENCES "public"."plan_steps"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "plan_step_drills" ADD CONSTRAINT "plan_step_drills_franchise_id_drill_id_drills_franchise_id_id_fk" FOREIGN KEY ("franchise_id","drill_id") REFERENCES "public"."drills"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "term_places" ADD CONSTRAINT "term_places_franchise_id_term_id_terms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","term_id") REFERENCES "public"."terms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "term_places" ADD CONSTRAINT "term_places_franchise_id_class_id_classes_franchise_id_id_fk" FOREIGN KEY ("franchise_id","class_id") REFERENCES "public"."classes"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "term_places" ADD CONSTRAINT "term_places_franchise_id_set_by_members_franchise_id_account_id_fk" FOREIGN KEY ("franchise_id","set_by") REFERENCES "public"."members"("franchise_id","account_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "term_skills" ADD CONSTRAINT "term_skills_franchise_id_term_id_number_term_weeks_franchise_id_term_id_number_fk" FOREIGN KEY ("franchise_id","term_id","number") REFERENCES "public"."term_weeks"("franchise_id","term_id","number") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "term_skills" ADD CONSTRAINT "term_skills_franchise_id_skill_id_skills_franchise_id_id_fk" FOREIGN KEY ("franchise_id","skill_id") REFERENCES "public"."skills"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "term_weeks" ADD CONSTRAINT "term_weeks_franchise_id_term_id_terms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","term_id") REFERENCES "public"."terms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "term_weeks" ADD CONSTRAINT "term_weeks_franchise_id_plan_id_lesson_plans_franchise_id_id_fk" FOREIGN KEY ("franchise_id","plan_id") REFERENCES "public"."lesson_plans"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "terms" ADD CONSTRAINT "terms_franchise_id_programme_id_programmes_franchise_id_id_fk" FOREIGN KEY ("franchise_id","programme_id") REFERENCES "public"."programmes"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
CREATE INDEX "briefing_questions_version" ON "briefing_questions" USING btree ("franchise_id","plan_version_id");--> statement-breakpoint
CREATE UNIQUE INDEX "plan_focuses_apparatus" ON "plan_focuses" USING btree ("franchise_id","plan_version_id","apparatus_id");--> statement-breakpoint
CREATE INDEX "term_places_class" ON "term_places" USING btree ("franchise_id","term_id","class_id");--> statement-breakpoint
CREATE INDEX "terms_programme" ON "terms" USING btree ("franchise_id","programme_id");--> statement-breakpoint
ALTER TABLE "plan_steps" ADD CONSTRAINT "plan_steps_dose" CHECK (("plan_steps"."dose_amount" IS NULL) = ("plan_steps"."dose_unit" IS NULL));--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "briefing_questions" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "briefing_readers" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "plan_block_apparatus" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "plan_focus_skills" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "plan_focuses" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "plan_pieces" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "plan_step_drills" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "term_places" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "term_skills" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "term_weeks" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "terms" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);