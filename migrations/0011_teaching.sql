CREATE TABLE "adaptations" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"gym_id" uuid NOT NULL,
	"per" text NOT NULL,
	"unit_id" uuid NOT NULL,
	"station_id" uuid NOT NULL,
	"kind" text NOT NULL,
	"direction" text,
	"drill_id" uuid,
	"step" integer,
	"piece" integer,
	"choice" integer,
	"reason" text NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"created_by" uuid,
	"undone_at" timestamp with time zone,
	"undone_by" uuid,
	CONSTRAINT "adaptations_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "adaptations" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "level_criteria" (
	"franchise_id" uuid NOT NULL,
	"level_id" uuid NOT NULL,
	"on_days" integer NOT NULL,
	"signed_by" text NOT NULL,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "level_criteria_franchise_id_level_id_pk" PRIMARY KEY("franchise_id","level_id"),
	CONSTRAINT "level_criteria_days" CHECK ("level_criteria"."on_days" BETWEEN 1 AND 10)
);
--> statement-breakpoint
ALTER TABLE "level_criteria" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "level_criterion_skills" (
	"franchise_id" uuid NOT NULL,
	"level_id" uuid NOT NULL,
	"skill_id" uuid NOT NULL,
	CONSTRAINT "level_criterion_skills_franchise_id_level_id_skill_id_pk" PRIMARY KEY("franchise_id","level_id","skill_id")
);
--> statement-breakpoint
ALTER TABLE "level_criterion_skills" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "level_moves" (
	"franchise_id" uuid NOT NULL,
	"athlete_id" uuid NOT NULL,
	"level_id" uuid NOT NULL,
	"gym_id" uuid NOT NULL,
	"signed_at" timestamp with time zone NOT NULL,
	"signed_by" uuid,
	CONSTRAINT "level_moves_franchise_id_athlete_id_level_id_pk" PRIMARY KEY("franchise_id","athlete_id","level_id")
);
--> statement-breakpoint
ALTER TABLE "level_moves" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "pair_requests" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"gym_id" uuid NOT NULL,
	"person_id" uuid NOT NULL,
	"skill_id" uuid NOT NULL,
	"note" text,
	"asked_at" timestamp with time zone NOT NULL,
	"settled_at" timestamp with time zone,
	"settled_by" uuid,
	CONSTRAINT "pair_requests_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "pair_requests" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "skills_shown" (
	"franchise_id" uuid NOT NULL,
	"gym_id" uuid NOT NULL,
	"athlete_id" uuid NOT NULL,
	"skill_id" uuid NOT NULL,
	"block_id" uuid NOT NULL,
	"day" date NOT NULL,
	"how" text NOT NULL,
	"seen_at" timestamp with time zone NOT NULL,
	"seen_by" uuid,
	CONSTRAINT "skills_shown_franchise_id_athlete_id_skill_id_block_id_pk" PRIMARY KEY("franchise_id","athlete_id","skill_id","block_id")
);
--> statement-breakpoint
ALTER TABLE "skills_shown" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "station_feedback" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"gym_id" uuid NOT NULL,
	"block_id" uuid NOT NULL,
	"station_id" uuid NOT NULL,
	"answer" text NOT NULL,
	"line" text,
	"answered_at" timestamp with time zone NOT NULL,
	"answered_by" uuid NOT NULL,
	"reply" text,
	"replied_at" timestamp with time zone,
	"replied_by" uuid,
	CONSTRAINT "station_feedback_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "station_feedback" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "taught_stations" (
	"franchise_id" uuid NOT NULL,
	"block_id" uuid NOT NULL,
	"station_id" uuid NOT NULL,
	"outcome" text NOT NULL,
	"why" text,
	"ticked_at" timestamp with time zone NOT NULL,
	"ticked_by" uuid,
	CONSTRAINT "taught_stations_franchise_id_block_id_station_id_pk" PRIMARY KEY("franchise_id","block_id","station_id"),
	CONSTRAINT "taught_stations_why" CHECK ("taught_stations"."outcome" NOT IN ('skipped', 'adapted') OR "taught_stations"."why" IS NOT NULL)
);
--> statement-breakpoint
ALTER TABLE "taught_stations" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
ALTER TABLE "adaptations" ADD CONSTRAINT "adaptations_franchise_id_gym_id_gyms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","gym_id") REFERENCES "public"."gyms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "adaptations" ADD CONSTRAINT "adaptations_franchise_id_station_id_plan_stations_franchise_id_id_fk" FOREIGN KEY ("franchise_id","station_id") REFERENCES "public"."plan_stations"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "adaptations" ADD CONSTRAINT "adaptations_franchise_id_drill_id_drills_franchise_id_id_fk" FOREIGN KEY ("franchise_id","drill_id") REFERENCES "public"."drills"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "level_criteria" ADD CONSTRAINT "level_criteria_franchise_id_level_id_levels_franchise_id_id_fk" FOREIGN KEY ("franchise_id","level_id") REFERENCES "public"."levels"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "level_criterion_skills" ADD CONSTRAINT "level_criterion_skills_franchise_id_level_id_level_criteria_franchise_id_level_id_fk" FOREIGN KEY ("franchise_id","level_id") REFERENCES "public"."level_criteria"("franchise_id","level_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "level_criterion_skills" ADD CONSTRAINT "level_criterion_skills_franchise_id_skill_id_skills_franchise_id_id_fk" FOREIGN KEY ("franchise_id","skill_id") REFERENCES "public"."skills"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "level_moves" ADD CONSTRAINT "level_moves_franchise_id_athlete_id_athletes_franchise_id_person_id_fk" FOREIGN KEY ("franchise_id","athlete_id") REFERENCES "public"."athletes"("franchise_id","person_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "level_moves" ADD CONSTRAINT "level_moves_franchise_id_level_id_levels_franchise_id_id_fk" FOREIGN KEY ("franchise_id","level_id") REFERENCES "public"."levels"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "level_moves" ADD CONSTRAINT "level_moves_franchise_id_gym_id_gyms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","gym_id") REFERENCES "public"."gyms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "pair_requests" ADD CONSTRAINT "pair_requests_franchise_id_gym_id_gyms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","gym_id") REFERENCES "public"."gyms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "pair_requests" ADD CONSTRAINT "pair_requests_franchise_id_person_id_staff_members_franchise_id_person_id_fk" FOREIGN KEY ("franchise_id","person_id") REFERENCES "public"."staff_members"("franchise_id","person_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "pair_requests" ADD CONSTRAINT "pair_requests_franchise_id_skill_id_skills_franchise_id_id_fk" FOREIGN KEY ("franchise_id","skill_id") REFERENCES "public"."skills"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "skills_shown" ADD CONSTRAINT "skills_shown_franchise_id_gym_id_gyms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","gym_id") REFERENCES "public"."gyms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "skills_shown" ADD CONSTRAINT "skills_shown_franchise_id_athlete_id_athletes_franchise_id_person_id_fk" FOREIGN KEY ("franchise_id","athlete_id") REFERENCES "public"."athletes"("franchise_id","person_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "skills_shown" ADD CONSTRAINT "skills_shown_franchise_id_skill_id_skills_franchise_id_id_fk" FOREIGN KEY ("franchise_id","skill_id") REFERENCES "public"."skills"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "skills_shown" ADD CONSTRAINT "skills_shown_franchise_id_block_id_blocks_franchise_id_id_fk" FOREIGN KEY ("franchise_id","block_id") REFERENCES "public"."blocks"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "station_feedback" ADD CONSTRAINT "station_feedback_franchise_id_gym_id_gyms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","gym_id") REFERENCES "public"."gyms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "station_feedback" ADD CONSTRAINT "station_feedback_franchise_id_block_id_blocks_franchise_id_id_fk" FOREIGN KEY ("franchise_id","block_id") REFERENCES "public"."blocks"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "station_feedback" ADD CONSTRAINT "station_feedback_franchise_id_station_id_plan_stations_franchise_id_id_fk" FOREIGN KEY ("franchise_id","station_id") REFERENCES "public"."plan_stations"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "taught_stations" ADD CONSTRAINT "taught_stations_franchise_id_block_id_blocks_franchise_id_id_fk" FOREIGN KEY ("franchise_id","block_id") REFERENCES "public"."blocks"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "taught_stations" ADD CONSTRAINT "taught_stations_franchise_id_station_id_plan_stations_franchise_id_id_fk" FOREIGN KEY ("franchise_id","station_id") REFERENCES "public"."plan_stations"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
CREATE INDEX "adaptations_gym" ON "adaptations" USING btree ("franchise_id","gym_id","id");--> statement-breakpoint
CREATE INDEX "adaptations_station" ON "adaptations" USING btree ("franchise_id","station_id");--> statement-breakpoint
CREATE UNIQUE INDEX "pair_requests_open" ON "pair_requests" USING btree ("franchise_id","gym_id","person_id","skill_id") WHERE settled_at IS NULL;--> statement-breakpoint
CREATE INDEX "skills_shown_block" ON "skills_shown" USING btree ("franchise_id","block_id");--> statement-breakpoint
CREATE UNIQUE INDEX "station_feedback_one" ON "station_feedback" USING btree ("franchise_id","block_id","station_id","answered_by");--> statement-breakpoint
CREATE INDEX "station_feedback_station" ON "station_feedback" USING btree ("franchise_id","station_id");--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "adaptations" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "level_criteria" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "level_criterion_skills" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "level_moves" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "pair_requests" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "skills_shown" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "station_feedback" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "taught_stations" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);