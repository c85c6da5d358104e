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
CREATE TABLE "drill_equipment" (
	"franchise_id" uuid NOT NULL,
	"drill_id" uuid NOT NULL,
	"apparatus_id" uuid NOT NULL,
	"position" integer NOT NULL,
	"amount" integer NOT NULL,
	"fits_measure" text,
	"lower_by_cm" integer,
	"higher_by_cm" integer,
	"raise_id" uuid,
	"raise_under" text,
	CONSTRAINT "drill_equipment_franchise_id_drill_id_apparatus_id_pk" PRIMARY KEY("franchise_id","drill_id","apparatus_id"),
	CONSTRAINT "drill_equipment_fit" CHECK (num_nulls("drill_equipment"."fits_measure", "drill_equipment"."lower_by_cm", "drill_equipment"."higher_by_cm") IN (0, 3)),
	CONSTRAINT "drill_equipment_raise" CHECK (num_nulls("drill_equipment"."raise_id", "drill_equipment"."raise_under") IN (0, 2))
);
--> statement-breakpoint
ALTER TABLE "drill_equipment" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "drill_levels" (
	"franchise_id" uuid NOT NULL,
	"drill_id" uuid NOT NULL,
	"programme_id" uuid NOT NULL,
	"from_level_id" uuid NOT NULL,
	"to_level_id" uuid NOT NULL,
	CONSTRAINT "drill_levels_franchise_id_drill_id_programme_id_pk" PRIMARY KEY("franchise_id","drill_id","programme_id")
);
--> statement-breakpoint
ALTER TABLE "drill_levels" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "curriculum_settings" (
	"franchise_id" uuid NOT NULL,
	"limits" jsonb NOT NULL,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "curriculum_settings_franchise_id_pk" PRIMARY KEY("franchise_id")
);
--> statement-breakpoint
ALTER TABLE "curriculum_settings" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "out_of_use" (
	"franchise_id" uuid NOT NULL,
	"area_id" uuid NOT NULL,
	"apparatus_id" uuid NOT NULL,
	"items" integer NOT NULL,
	"why" text NOT NULL,
	"since" timestamp with time zone NOT NULL,
	CONSTRAINT "out_of_use_franchise_id_area_id_apparatus_id_pk" PRIMARY KEY("franchise_id","area_id","apparatus_id")
);
--> statement-breakpoint
ALTER TABLE "out_of_use" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "athlete_statures" (
	"franchise_id" uuid NOT NULL,
	"person_id" uuid NOT NULL,
	"cm" integer NOT NULL,
	"measured_on" date NOT NULL,
	CONSTRAINT "athlete_statures_franchise_id_person_id_pk" PRIMARY KEY("franchise_id","person_id")
);
--> statement-breakpoint
ALTER TABLE "athlete_statures" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
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
	"spotting" jsonb,
	CONSTRAINT "plan_step_drills_franchise_id_step_id_drill_id_pk" PRIMARY KEY("franchise_id","step_id","drill_id")
);
--> statement-breakpoint
ALTER TABLE "plan_step_drills" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
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
ALTER TABLE "drills" ADD COLUMN "if_it_goes_wrong" text DEFAULT '' NOT NULL;--> statement-breakpoint
ALTER TABLE "drills" ADD COLUMN "look_fors" jsonb DEFAULT '[]'::jsonb NOT NULL;--> statement-breakpoint
ALTER TABLE "drills" ADD COLUMN "places_are" text DEFAULT 'side-by-side' NOT NULL;--> statement-breakpoint
ALTER TABLE "drills" ADD COLUMN "height" text;--> statement-breakpoint
ALTER TABLE "drills" ADD COLUMN "demonstration" text;--> statement-breakpoint
ALTER TABLE "drills" ADD COLUMN "diagram" jsonb;--> statement-breakpoint
ALTER TABLE "drills" ADD COLUMN "retired_at" timestamp with time zone;--> statement-breakpoint
ALTER TABLE "plan_blocks" ADD COLUMN "formation" text DEFAULT 'stations' NOT NULL;--> statement-breakpoint
ALTER TABLE "plan_blocks" ADD COLUMN "importance" integer DEFAULT 1 NOT NULL;--> statement-breakpoint
ALTER TABLE "plan_stations" ADD COLUMN "places" integer;--> statement-breakpoint
ALTER TABLE "plan_stations" ADD COLUMN "diagram" jsonb;--> statement-breakpoint
ALTER TABLE "plan_stations" ADD COLUMN "stays_up" boolean DEFAULT false NOT NULL;--> statement-breakpoint
ALTER TABLE "plan_steps" ADD COLUMN "choose_by" text;--> statement-breakpoint
ALTER TABLE "plan_steps" ADD COLUMN "dose_amount" integer;--> statement-breakpoint
ALTER TABLE "plan_steps" ADD COLUMN "dose_unit" text;--> statement-breakpoint
ALTER TABLE "plan_steps" ADD COLUMN "dose_sets" integer DEFAULT 1 NOT NULL;--> statement-breakpoint
ALTER TABLE "plan_steps" ADD COLUMN "dose_each_side" boolean DEFAULT false NOT NULL;--> statement-breakpoint
ALTER TABLE "plan_versions" ADD COLUMN "effective_week" date;--> statement-breakpoint
ALTER TABLE "plan_versions" ADD COLUMN "note" text DEFAULT '' NOT NULL;--> statement-breakpoint
ALTER TABLE "progressions" ADD COLUMN "kind" text DEFAULT 'skill' NOT NULL;--> statement-breakpoint
ALTER TABLE "apparatus" ADD COLUMN "seconds_a_turn" integer DEFAULT 20 NOT NULL;--> statement-breakpoint
ALTER TABLE "apparatus" ADD COLUMN "length_cm" integer;--> statement-breakpoint
ALTER TABLE "apparatus" ADD COLUMN "width_cm" integer;--> statement-breakpoint
ALTER TABLE "apparatus" ADD COLUMN "height_cm" integer;--> statement-breakpoint
ALTER TABLE "apparatus" ADD COLUMN "arm_heavy" boolean DEFAULT false NOT NULL;--> statement-breakpoint
ALTER TABLE "sessions" ADD COLUMN "term_id" uuid;--> statement-breakpoint
ALTER TABLE "sessions" ADD COLUMN "term_week" integer;--> statement-breakpoint
ALTER TABLE "briefing_questions" ADD CONSTRAINT "briefing_questions_franchise_id_plan_version_id_plan_versions_franchise_id_id_fk" FOREIGN KEY ("franchise_id","plan_version_id") REFERENCES "public"."plan_versions"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "briefing_questions" ADD CONSTRAINT "briefing_questions_franchise_id_asked_by_members_franchise_id_account_id_fk" FOREIGN KEY ("franchise_id","asked_by") REFERENCES "public"."members"("franchise_id","account_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "briefing_questions" ADD CONSTRAINT "briefing_questions_franchise_id_answered_by_members_franchise_id_account_id_fk" FOREIGN KEY ("franchise_id","answered_by") REFERENCES "public"."members"("franchise_id","account_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "briefing_readers" ADD CONSTRAINT "briefing_readers_franchise_id_plan_version_id_plan_versions_franchise_id_id_fk" FOREIGN KEY ("franchise_id","plan_version_id") REFERENCES "public"."plan_versions"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "briefing_readers" ADD CONSTRAINT "briefing_readers_franchise_id_account_id_members_franchise_id_account_id_fk" FOREIGN KEY ("franchise_id","account_id") REFERENCES "public"."members"("franchise_id","account_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "drill_equipment" ADD CONSTRAINT "drill_equipment_franchise_id_drill_id_drills_franchise_id_id_fk" FOREIGN KEY ("franchise_id","drill_id") REFERENCES "public"."drills"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "drill_equipment" ADD CONSTRAINT "drill_equipment_franchise_id_apparatus_id_apparatus_franchise_id_id_fk" FOREIGN KEY ("franchise_id","apparatus_id") REFERENCES "public"."apparatus"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "drill_equipment" ADD CONSTRAINT "drill_equipment_franchise_id_raise_id_apparatus_franchise_id_id_fk" FOREIGN KEY ("franchise_id","raise_id") REFERENCES "public"."apparatus"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "drill_levels" ADD CONSTRAINT "drill_levels_franchise_id_drill_id_drills_franchise_id_id_fk" FOREIGN KEY ("franchise_id","drill_id") REFERENCES "public"."drills"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "drill_levels" ADD CONSTRAINT "drill_levels_franchise_id_programme_id_programmes_franchise_id_id_fk" FOREIGN KEY ("franchise_id","programme_id") REFERENCES "public"."programmes"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "drill_levels" ADD CONSTRAINT "drill_levels_franchise_id_from_level_id_levels_franchise_id_id_fk" FOREIGN KEY ("franchise_id","from_level_id") REFERENCES "public"."levels"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "drill_levels" ADD CONSTRAINT "drill_levels_franchise_id_to_level_id_levels_franchise_id_id_fk" FOREIGN KEY ("franchise_id","to_level_id") REFERENCES "public"."levels"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "out_of_use" ADD CONSTRAINT "out_of_use_franchise_id_area_id_areas_franchise_id_id_fk" FOREIGN KEY ("franchise_id","area_id") REFERENCES "public"."areas"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "out_of_use" ADD CONSTRAINT "out_of_use_franchise_id_apparatus_id_apparatus_franchise_id_id_fk" FOREIGN KEY ("franchise_id","apparatus_id") REFERENCES "public"."apparatus"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "athlete_statures" ADD CONSTRAINT "athlete_statures_franchise_id_person_id_athletes_franchise_id_person_id_fk" FOREIGN KEY ("franchise_id","person_id") REFERENCES "public"."athletes"("franchise_id","person_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
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
CREATE INDEX "adaptations_gym" ON "adaptations" USING btree ("franchise_id","gym_id","id");--> statement-breakpoint
CREATE INDEX "adaptations_station" ON "adaptations" USING btree ("franchise_id","station_id");--> statement-breakpoint
CREATE UNIQUE INDEX "pair_requests_open" ON "pair_requests" USING btree ("franchise_id","gym_id","person_id","skill_id") WHERE settled_at IS NULL;--> statement-breakpoint
CREATE INDEX "skills_shown_block" ON "skills_shown" USING btree ("franchise_id","block_id");--> statement-breakpoint
CREATE UNIQUE INDEX "station_feedback_one" ON "station_feedback" USING btree ("franchise_id","block_id","station_id","answered_by");--> statement-breakpoint
CREATE INDEX "station_feedback_station" ON "station_feedback" USING btree ("franchise_id","station_id");--> statement-breakpoint
CREATE INDEX "term_places_class" ON "term_places" USING btree ("franchise_id","term_id","class_id");--> statement-breakpoint
CREATE INDEX "terms_programme" ON "terms" USING btree ("franchise_id","programme_id");--> statement-breakpoint
ALTER TABLE "sessions" ADD CONSTRAINT "sessions_franchise_id_term_id_terms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","term_id") REFERENCES "public"."terms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
CREATE INDEX "drill_skills_skill" ON "drill_skills" USING btree ("franchise_id","skill_id");--> statement-breakpoint
CREATE INDEX "sessions_term" ON "sessions" USING btree ("franchise_id","term_id");--> statement-breakpoint
ALTER TABLE "plan_steps" ADD CONSTRAINT "plan_steps_dose" CHECK (("plan_steps"."dose_amount" IS NULL) = ("plan_steps"."dose_unit" IS NULL));--> statement-breakpoint
ALTER TABLE "sessions" ADD CONSTRAINT "sessions_term_week" CHECK (num_nulls("sessions"."term_id", "sessions"."term_week") IN (0, 2));--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "briefing_questions" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "briefing_readers" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "drill_equipment" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "drill_levels" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "curriculum_settings" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "out_of_use" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "athlete_statures" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "plan_block_apparatus" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "plan_focus_skills" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "plan_focuses" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "plan_pieces" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "plan_step_drills" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "adaptations" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "level_criteria" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "level_criterion_skills" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "level_moves" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "pair_requests" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "skills_shown" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "station_feedback" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "taught_stations" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "term_places" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "term_skills" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "term_weeks" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "terms" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);