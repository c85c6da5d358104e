CREATE TABLE "events" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"name" text NOT NULL,
	"gym_id" uuid,
	"subject_id" uuid NOT NULL,
	"subject_revision" integer,
	"data" jsonb NOT NULL,
	"account_id" uuid,
	"request_id" text NOT NULL,
	"at" timestamp with time zone NOT NULL,
	CONSTRAINT "events_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "events" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "idempotency_keys" (
	"franchise_id" uuid NOT NULL,
	"account_id" uuid NOT NULL,
	"key_hash" "bytea" NOT NULL,
	"fingerprint" "bytea" NOT NULL,
	"answer" "bytea",
	"used_on" date NOT NULL,
	CONSTRAINT "idempotency_keys_franchise_id_account_id_key_hash_pk" PRIMARY KEY("franchise_id","account_id","key_hash")
);
--> statement-breakpoint
ALTER TABLE "idempotency_keys" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "drill_skills" (
	"franchise_id" uuid NOT NULL,
	"drill_id" uuid NOT NULL,
	"skill_id" uuid NOT NULL,
	"sign_off" text,
	CONSTRAINT "drill_skills_franchise_id_drill_id_skill_id_pk" PRIMARY KEY("franchise_id","drill_id","skill_id")
);
--> statement-breakpoint
ALTER TABLE "drill_skills" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "drills" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"name" text NOT NULL,
	"apparatus_id" uuid NOT NULL,
	"say_first" text NOT NULL,
	"spotting_mode" text NOT NULL,
	"spotting_kind_id" uuid,
	"spotting_grade" integer,
	"seconds_a_turn" integer NOT NULL,
	"places" integer NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "drills_franchise_id_id_pk" PRIMARY KEY("franchise_id","id"),
	CONSTRAINT "drills_spotting" CHECK (("drills"."spotting_mode" = 'none') = ("drills"."spotting_kind_id" IS NULL)),
	CONSTRAINT "drills_grade" CHECK (("drills"."spotting_kind_id" IS NULL) = ("drills"."spotting_grade" IS NULL))
);
--> statement-breakpoint
ALTER TABLE "drills" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "lesson_plan_programmes" (
	"franchise_id" uuid NOT NULL,
	"plan_id" uuid NOT NULL,
	"programme_id" uuid NOT NULL,
	CONSTRAINT "lesson_plan_programmes_franchise_id_plan_id_programme_id_pk" PRIMARY KEY("franchise_id","plan_id","programme_id")
);
--> statement-breakpoint
ALTER TABLE "lesson_plan_programmes" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "lesson_plans" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"title" text NOT NULL,
	"week_of" date NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "lesson_plans_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "lesson_plans" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "levels" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"programme_id" uuid NOT NULL,
	"position" integer NOT NULL,
	"name" text NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "levels_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "levels" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "plan_blocks" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"plan_version_id" uuid NOT NULL,
	"position" integer NOT NULL,
	"title" text NOT NULL,
	"activity" text NOT NULL,
	"minutes" integer NOT NULL,
	"class_rule" text NOT NULL,
	"stations_run" text NOT NULL,
	CONSTRAINT "plan_blocks_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "plan_blocks" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "plan_stations" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"plan_block_id" uuid NOT NULL,
	"position" integer NOT NULL,
	"name" text NOT NULL,
	"set_up" text NOT NULL,
	"apparatus_id" uuid NOT NULL,
	"items" integer NOT NULL,
	"spotting" jsonb,
	CONSTRAINT "plan_stations_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "plan_stations" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "plan_steps" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"station_id" uuid NOT NULL,
	"position" integer NOT NULL,
	"drill_id" uuid NOT NULL,
	"from_level_id" uuid,
	"dose" text NOT NULL,
	"weight" text NOT NULL,
	CONSTRAINT "plan_steps_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "plan_steps" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "plan_versions" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"plan_id" uuid NOT NULL,
	"number" integer NOT NULL,
	"state" text NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"published_at" timestamp with time zone,
	"published_by" uuid,
	"withdrawn_at" timestamp with time zone,
	"withdrawn_why" text,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "plan_versions_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "plan_versions" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "programmes" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"name" text NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "programmes_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "programmes" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "progressions" (
	"franchise_id" uuid NOT NULL,
	"easier_id" uuid NOT NULL,
	"harder_id" uuid NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "progressions_franchise_id_easier_id_harder_id_pk" PRIMARY KEY("franchise_id","easier_id","harder_id")
);
--> statement-breakpoint
ALTER TABLE "progressions" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "apparatus" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"name" text NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "apparatus_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "apparatus" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "area_apparatus" (
	"franchise_id" uuid NOT NULL,
	"area_id" uuid NOT NULL,
	"apparatus_id" uuid NOT NULL,
	"items" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "area_apparatus_franchise_id_area_id_apparatus_id_pk" PRIMARY KEY("franchise_id","area_id","apparatus_id")
);
--> statement-breakpoint
ALTER TABLE "area_apparatus" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "areas" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"gym_id" uuid NOT NULL,
	"name" text NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "areas_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "areas" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "gyms" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"name" text NOT NULL,
	"zone" text NOT NULL,
	"confirm_window_days" integer DEFAULT 7 NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "gyms_franchise_id_id_pk" PRIMARY KEY("franchise_id","id"),
	CONSTRAINT "gyms_window" CHECK ("gyms"."confirm_window_days" BETWEEN 0 AND 60)
);
--> statement-breakpoint
ALTER TABLE "gyms" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "account_franchises" (
	"account_id" uuid NOT NULL,
	"franchise_id" uuid NOT NULL,
	CONSTRAINT "account_franchises_account_id_franchise_id_pk" PRIMARY KEY("account_id","franchise_id")
);
--> statement-breakpoint
CREATE TABLE "accounts" (
	"id" uuid PRIMARY KEY NOT NULL,
	"email" text NOT NULL,
	"password_hash" text,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL
);
--> statement-breakpoint
CREATE TABLE "franchises" (
	"franchise_id" uuid NOT NULL,
	"name" text NOT NULL,
	"leap_day" text DEFAULT '03-01' NOT NULL,
	"travel_minutes" integer DEFAULT 30 NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "franchises_franchise_id_pk" PRIMARY KEY("franchise_id")
);
--> statement-breakpoint
ALTER TABLE "franchises" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "members" (
	"franchise_id" uuid NOT NULL,
	"account_id" uuid NOT NULL,
	"person_id" uuid,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"deactivated_at" timestamp with time zone,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "members_franchise_id_account_id_pk" PRIMARY KEY("franchise_id","account_id")
);
--> statement-breakpoint
ALTER TABLE "members" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "memberships" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"account_id" uuid NOT NULL,
	"role" text NOT NULL,
	"gym_id" uuid,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "memberships_franchise_id_id_pk" PRIMARY KEY("franchise_id","id"),
	CONSTRAINT "memberships_franchise_wide" CHECK ("memberships"."role" NOT IN ('owner', 'programme_lead') OR "memberships"."gym_id" IS NULL)
);
--> statement-breakpoint
ALTER TABLE "memberships" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "one_time_links" (
	"token_hash" "bytea" PRIMARY KEY NOT NULL,
	"account_id" uuid NOT NULL,
	"franchise_id" uuid NOT NULL,
	"purpose" text NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"expires_at" timestamp with time zone NOT NULL,
	"used_at" timestamp with time zone,
	"revoked_at" timestamp with time zone
);
--> statement-breakpoint
CREATE TABLE "refresh_tokens" (
	"token_hash" "bytea" PRIMARY KEY NOT NULL,
	"sign_in_id" uuid NOT NULL,
	"expires_at" timestamp with time zone NOT NULL,
	"used_at" timestamp with time zone
);
--> statement-breakpoint
CREATE TABLE "sign_ins" (
	"id" uuid PRIMARY KEY NOT NULL,
	"account_id" uuid NOT NULL,
	"franchise_id" uuid NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"ended_at" timestamp with time zone,
	"ended_why" text
);
--> statement-breakpoint
CREATE TABLE "athlete_helpers" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"athlete_id" uuid NOT NULL,
	"helper_id" uuid NOT NULL,
	"from_day" date NOT NULL,
	"until_day" date,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "athlete_helpers_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "athlete_helpers" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "athlete_supports" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"athlete_id" uuid NOT NULL,
	"from_day" date NOT NULL,
	"until_day" date,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "athlete_supports_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "athlete_supports" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "athlete_traits" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"athlete_id" uuid NOT NULL,
	"trait" text NOT NULL,
	"from_day" date NOT NULL,
	"until_day" date,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "athlete_traits_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "athlete_traits" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "athletes" (
	"franchise_id" uuid NOT NULL,
	"person_id" uuid NOT NULL,
	"gym_id" uuid NOT NULL,
	"born" date,
	"family_id" uuid,
	"counts_as" text DEFAULT '1' NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"left_at" timestamp with time zone,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "athletes_franchise_id_person_id_pk" PRIMARY KEY("franchise_id","person_id")
);
--> statement-breakpoint
ALTER TABLE "athletes" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "duty_rules" (
	"franchise_id" uuid NOT NULL,
	"duty" text NOT NULL,
	"who" jsonb NOT NULL,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "duty_rules_franchise_id_duty_pk" PRIMARY KEY("franchise_id","duty")
);
--> statement-breakpoint
ALTER TABLE "duty_rules" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "employments" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"person_id" uuid NOT NULL,
	"gym_id" uuid NOT NULL,
	"from_day" date NOT NULL,
	"until_day" date,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "employments_franchise_id_id_pk" PRIMARY KEY("franchise_id","id"),
	CONSTRAINT "employments_days" CHECK ("employments"."until_day" IS NULL OR "employments"."until_day" >= "employments"."from_day")
);
--> statement-breakpoint
ALTER TABLE "employments" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "families" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "families_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "families" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "guardianships" (
	"franchise_id" uuid NOT NULL,
	"athlete_id" uuid NOT NULL,
	"guardian_id" uuid NOT NULL,
	"relation" text NOT NULL,
	"may_collect" boolean DEFAULT true NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "guardianships_franchise_id_athlete_id_guardian_id_pk" PRIMARY KEY("franchise_id","athlete_id","guardian_id")
);
--> statement-breakpoint
ALTER TABLE "guardianships" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "person_contacts" (
	"franchise_id" uuid NOT NULL,
	"person_id" uuid NOT NULL,
	"email" text,
	"phone" text,
	CONSTRAINT "person_contacts_franchise_id_person_id_pk" PRIMARY KEY("franchise_id","person_id")
);
--> statement-breakpoint
ALTER TABLE "person_contacts" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "person_health" (
	"franchise_id" uuid NOT NULL,
	"person_id" uuid NOT NULL,
	"alerts" text NOT NULL,
	CONSTRAINT "person_health_franchise_id_person_id_pk" PRIMARY KEY("franchise_id","person_id")
);
--> statement-breakpoint
ALTER TABLE "person_health" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "person_names" (
	"franchise_id" uuid NOT NULL,
	"person_id" uuid NOT NULL,
	"given" text NOT NULL,
	"family" text NOT NULL,
	CONSTRAINT "person_names_franchise_id_person_id_pk" PRIMARY KEY("franchise_id","person_id")
);
--> statement-breakpoint
ALTER TABLE "person_names" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "persons" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "persons_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "persons" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "qualification_kinds" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"name" text NOT NULL,
	"counts_for" text[] NOT NULL,
	"grades" text[] NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "qualification_kinds_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "qualification_kinds" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "qualifications" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"person_id" uuid NOT NULL,
	"kind_id" uuid NOT NULL,
	"grade" integer NOT NULL,
	"from_day" date NOT NULL,
	"until_day" date,
	"evidence" text NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"revoked_from_day" date,
	"revoked_why" text,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "qualifications_franchise_id_id_pk" PRIMARY KEY("franchise_id","id"),
	CONSTRAINT "qualifications_days" CHECK ("qualifications"."until_day" IS NULL OR "qualifications"."until_day" > "qualifications"."from_day")
);
--> statement-breakpoint
ALTER TABLE "qualifications" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "sign_offs" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"person_id" uuid NOT NULL,
	"skill_id" uuid NOT NULL,
	"level" text NOT NULL,
	"by_person_id" uuid,
	"from_day" date NOT NULL,
	"until_day" date,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "sign_offs_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "sign_offs" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "skills" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"name" text NOT NULL,
	"apparatus_id" uuid NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "skills_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "skills" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "staff_members" (
	"franchise_id" uuid NOT NULL,
	"person_id" uuid NOT NULL,
	"born" date NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "staff_members_franchise_id_person_id_pk" PRIMARY KEY("franchise_id","person_id")
);
--> statement-breakpoint
ALTER TABLE "staff_members" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "block_areas" (
	"franchise_id" uuid NOT NULL,
	"block_id" uuid NOT NULL,
	"area_id" uuid NOT NULL,
	CONSTRAINT "block_areas_franchise_id_block_id_area_id_pk" PRIMARY KEY("franchise_id","block_id","area_id")
);
--> statement-breakpoint
ALTER TABLE "block_areas" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "blocks" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"gym_id" uuid NOT NULL,
	"session_id" uuid NOT NULL,
	"group_id" uuid NOT NULL,
	"plan_version_id" uuid NOT NULL,
	"plan_block_id" uuid NOT NULL,
	"day" date NOT NULL,
	"starts_at" timestamp with time zone NOT NULL,
	"ends_at" timestamp with time zone NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"confirmed_at" timestamp with time zone,
	"confirmed_by" uuid,
	"held_why" text,
	"superseded_at" timestamp with time zone,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "blocks_franchise_id_id_pk" PRIMARY KEY("franchise_id","id"),
	CONSTRAINT "blocks_span" CHECK ("blocks"."ends_at" > "blocks"."starts_at")
);
--> statement-breakpoint
ALTER TABLE "blocks" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "class_levels" (
	"franchise_id" uuid NOT NULL,
	"class_id" uuid NOT NULL,
	"level_id" uuid NOT NULL,
	CONSTRAINT "class_levels_franchise_id_class_id_level_id_pk" PRIMARY KEY("franchise_id","class_id","level_id")
);
--> statement-breakpoint
ALTER TABLE "class_levels" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "classes" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"gym_id" uuid NOT NULL,
	"name" text NOT NULL,
	"programme_id" uuid NOT NULL,
	"weekday" integer NOT NULL,
	"starts_at" text NOT NULL,
	"duration_minutes" integer NOT NULL,
	"capacity" integer NOT NULL,
	"from_day" date NOT NULL,
	"until_day" date,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "classes_franchise_id_id_pk" PRIMARY KEY("franchise_id","id"),
	CONSTRAINT "classes_weekday" CHECK ("classes"."weekday" BETWEEN 1 AND 7)
);
--> statement-breakpoint
ALTER TABLE "classes" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "enrolments" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"gym_id" uuid NOT NULL,
	"class_id" uuid NOT NULL,
	"athlete_id" uuid NOT NULL,
	"category" text,
	"from_day" date NOT NULL,
	"until_day" date,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "enrolments_franchise_id_id_pk" PRIMARY KEY("franchise_id","id"),
	CONSTRAINT "enrolments_days" CHECK ("enrolments"."until_day" IS NULL OR "enrolments"."until_day" >= "enrolments"."from_day")
);
--> statement-breakpoint
ALTER TABLE "enrolments" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "group_members" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"session_id" uuid NOT NULL,
	"group_id" uuid NOT NULL,
	"athlete_id" uuid NOT NULL,
	"starts_at" timestamp with time zone NOT NULL,
	"ends_at" timestamp with time zone NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"released_at" timestamp with time zone,
	CONSTRAINT "group_members_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "group_members" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "groups" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"session_id" uuid NOT NULL,
	"position" integer NOT NULL,
	"name" text NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "groups_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "groups" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "sessions" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"gym_id" uuid NOT NULL,
	"class_id" uuid NOT NULL,
	"original_start" text NOT NULL,
	"day" date NOT NULL,
	"starts_at" timestamp with time zone NOT NULL,
	"ends_at" timestamp with time zone NOT NULL,
	"plan_version_id" uuid,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"cancelled_at" timestamp with time zone,
	"cancelled_why" text,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "sessions_franchise_id_id_pk" PRIMARY KEY("franchise_id","id"),
	CONSTRAINT "sessions_span" CHECK ("sessions"."ends_at" > "sessions"."starts_at")
);
--> statement-breakpoint
ALTER TABLE "sessions" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "absences" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"person_id" uuid NOT NULL,
	"starts_at" timestamp with time zone NOT NULL,
	"ends_at" timestamp with time zone NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"created_by" uuid,
	"withdrawn_at" timestamp with time zone,
	CONSTRAINT "absences_franchise_id_id_pk" PRIMARY KEY("franchise_id","id"),
	CONSTRAINT "absences_span" CHECK ("absences"."ends_at" > "absences"."starts_at")
);
--> statement-breakpoint
ALTER TABLE "absences" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "assignments" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"gym_id" uuid NOT NULL,
	"person_id" uuid NOT NULL,
	"per" text NOT NULL,
	"block_id" uuid,
	"session_id" uuid,
	"duty" text NOT NULL,
	"day" date NOT NULL,
	"starts_at" timestamp with time zone NOT NULL,
	"ends_at" timestamp with time zone NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"created_by" uuid,
	"released_at" timestamp with time zone,
	"released_by" uuid,
	"released_why" text,
	"released_by_absence_id" uuid,
	"replaces_id" uuid,
	CONSTRAINT "assignments_franchise_id_id_pk" PRIMARY KEY("franchise_id","id"),
	CONSTRAINT "assignments_span" CHECK ("assignments"."ends_at" > "assignments"."starts_at"),
	CONSTRAINT "assignments_place" CHECK (("assignments"."per" = 'block') = ("assignments"."block_id" IS NOT NULL) AND ("assignments"."per" = 'session') = ("assignments"."session_id" IS NOT NULL)),
	CONSTRAINT "assignments_oversee" CHECK (("assignments"."per" = 'session') = ("assignments"."duty" = 'oversee'))
);
--> statement-breakpoint
ALTER TABLE "assignments" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "cover_heads" (
	"franchise_id" uuid NOT NULL,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "cover_heads_franchise_id_pk" PRIMARY KEY("franchise_id")
);
--> statement-breakpoint
ALTER TABLE "cover_heads" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "gym_days" (
	"franchise_id" uuid NOT NULL,
	"gym_id" uuid NOT NULL,
	"day" date NOT NULL,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "gym_days_franchise_id_gym_id_day_pk" PRIMARY KEY("franchise_id","gym_id","day")
);
--> statement-breakpoint
ALTER TABLE "gym_days" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "overrides" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"gym_id" uuid NOT NULL,
	"per" text NOT NULL,
	"unit_id" uuid NOT NULL,
	"day" date NOT NULL,
	"starts_at" timestamp with time zone NOT NULL,
	"ends_at" timestamp with time zone NOT NULL,
	"code" text NOT NULL,
	"rule_id" uuid,
	"subjects" jsonb NOT NULL,
	"short" text NOT NULL,
	"reason" text NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"created_by" uuid NOT NULL,
	"withdrawn_at" timestamp with time zone,
	"withdrawn_by" uuid,
	CONSTRAINT "overrides_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "overrides" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "ratio_rules" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"version" integer NOT NULL,
	"gym_id" uuid,
	"name" text NOT NULL,
	"body" jsonb NOT NULL,
	"from_day" date NOT NULL,
	"until_day" date,
	"retired" boolean DEFAULT false NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"created_by" uuid,
	CONSTRAINT "ratio_rules_franchise_id_id_version_pk" PRIMARY KEY("franchise_id","id","version")
);
--> statement-breakpoint
ALTER TABLE "ratio_rules" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
ALTER TABLE "drill_skills" ADD CONSTRAINT "drill_skills_franchise_id_drill_id_drills_franchise_id_id_fk" FOREIGN KEY ("franchise_id","drill_id") REFERENCES "public"."drills"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "drill_skills" ADD CONSTRAINT "drill_skills_franchise_id_skill_id_skills_franchise_id_id_fk" FOREIGN KEY ("franchise_id","skill_id") REFERENCES "public"."skills"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "drills" ADD CONSTRAINT "drills_franchise_id_apparatus_id_apparatus_franchise_id_id_fk" FOREIGN KEY ("franchise_id","apparatus_id") REFERENCES "public"."apparatus"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "drills" ADD CONSTRAINT "drills_franchise_id_spotting_kind_id_qualification_kinds_franchise_id_id_fk" FOREIGN KEY ("franchise_id","spotting_kind_id") REFERENCES "public"."qualification_kinds"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "lesson_plan_programmes" ADD CONSTRAINT "lesson_plan_programmes_franchise_id_plan_id_lesson_plans_franchise_id_id_fk" FOREIGN KEY ("franchise_id","plan_id") REFERENCES "public"."lesson_plans"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "lesson_plan_programmes" ADD CONSTRAINT "lesson_plan_programmes_franchise_id_programme_id_programmes_franchise_id_id_fk" FOREIGN KEY ("franchise_id","programme_id") REFERENCES "public"."programmes"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "levels" ADD CONSTRAINT "levels_franchise_id_programme_id_programmes_franchise_id_id_fk" FOREIGN KEY ("franchise_id","programme_id") REFERENCES "public"."programmes"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "plan_blocks" ADD CONSTRAINT "plan_blocks_franchise_id_plan_version_id_plan_versions_franchise_id_id_fk" FOREIGN KEY ("franchise_id","plan_version_id") REFERENCES "public"."plan_versions"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "plan_stations" ADD CONSTRAINT "plan_stations_franchise_id_plan_block_id_plan_blocks_franchise_id_id_fk" FOREIGN KEY ("franchise_id","plan_block_id") REFERENCES "public"."plan_blocks"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "plan_stations" ADD CONSTRAINT "plan_stations_franchise_id_apparatus_id_apparatus_franchise_id_id_fk" FOREIGN KEY ("franchise_id","apparatus_id") REFERENCES "public"."apparatus"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "plan_steps" ADD CONSTRAINT "plan_steps_franchise_id_station_id_plan_stations_franchise_id_id_fk" FOREIGN KEY ("franchise_id","station_id") REFERENCES "public"."plan_stations"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "plan_steps" ADD CONSTRAINT "plan_steps_franchise_id_drill_id_drills_franchise_id_id_fk" FOREIGN KEY ("franchise_id","drill_id") REFERENCES "public"."drills"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "plan_steps" ADD CONSTRAINT "plan_steps_franchise_id_from_level_id_levels_franchise_id_id_fk" FOREIGN KEY ("franchise_id","from_level_id") REFERENCES "public"."levels"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "plan_versions" ADD CONSTRAINT "plan_versions_franchise_id_plan_id_lesson_plans_franchise_id_id_fk" FOREIGN KEY ("franchise_id","plan_id") REFERENCES "public"."lesson_plans"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "progressions" ADD CONSTRAINT "progressions_franchise_id_easier_id_drills_franchise_id_id_fk" FOREIGN KEY ("franchise_id","easier_id") REFERENCES "public"."drills"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "progressions" ADD CONSTRAINT "progressions_franchise_id_harder_id_drills_franchise_id_id_fk" FOREIGN KEY ("franchise_id","harder_id") REFERENCES "public"."drills"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "area_apparatus" ADD CONSTRAINT "area_apparatus_franchise_id_area_id_areas_franchise_id_id_fk" FOREIGN KEY ("franchise_id","area_id") REFERENCES "public"."areas"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "area_apparatus" ADD CONSTRAINT "area_apparatus_franchise_id_apparatus_id_apparatus_franchise_id_id_fk" FOREIGN KEY ("franchise_id","apparatus_id") REFERENCES "public"."apparatus"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "areas" ADD CONSTRAINT "areas_franchise_id_gym_id_gyms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","gym_id") REFERENCES "public"."gyms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "members" ADD CONSTRAINT "members_franchise_id_franchises_franchise_id_fk" FOREIGN KEY ("franchise_id") REFERENCES "public"."franchises"("franchise_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "members" ADD CONSTRAINT "members_franchise_id_person_id_persons_franchise_id_id_fk" FOREIGN KEY ("franchise_id","person_id") REFERENCES "public"."persons"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "memberships" ADD CONSTRAINT "memberships_franchise_id_account_id_members_franchise_id_account_id_fk" FOREIGN KEY ("franchise_id","account_id") REFERENCES "public"."members"("franchise_id","account_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "memberships" ADD CONSTRAINT "memberships_franchise_id_gym_id_gyms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","gym_id") REFERENCES "public"."gyms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "one_time_links" ADD CONSTRAINT "one_time_links_account_id_accounts_id_fk" FOREIGN KEY ("account_id") REFERENCES "public"."accounts"("id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "refresh_tokens" ADD CONSTRAINT "refresh_tokens_sign_in_id_sign_ins_id_fk" FOREIGN KEY ("sign_in_id") REFERENCES "public"."sign_ins"("id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "sign_ins" ADD CONSTRAINT "sign_ins_account_id_accounts_id_fk" FOREIGN KEY ("account_id") REFERENCES "public"."accounts"("id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "athlete_helpers" ADD CONSTRAINT "athlete_helpers_franchise_id_athlete_id_athletes_franchise_id_person_id_fk" FOREIGN KEY ("franchise_id","athlete_id") REFERENCES "public"."athletes"("franchise_id","person_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "athlete_helpers" ADD CONSTRAINT "athlete_helpers_franchise_id_helper_id_staff_members_franchise_id_person_id_fk" FOREIGN KEY ("franchise_id","helper_id") REFERENCES "public"."staff_members"("franchise_id","person_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "athlete_supports" ADD CONSTRAINT "athlete_supports_franchise_id_athlete_id_athletes_franchise_id_person_id_fk" FOREIGN KEY ("franchise_id","athlete_id") REFERENCES "public"."athletes"("franchise_id","person_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "athlete_traits" ADD CONSTRAINT "athlete_traits_franchise_id_athlete_id_athletes_franchise_id_person_id_fk" FOREIGN KEY ("franchise_id","athlete_id") REFERENCES "public"."athletes"("franchise_id","person_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "athletes" ADD CONSTRAINT "athletes_franchise_id_person_id_persons_franchise_id_id_fk" FOREIGN KEY ("franchise_id","person_id") REFERENCES "public"."persons"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "athletes" ADD CONSTRAINT "athletes_franchise_id_gym_id_gyms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","gym_id") REFERENCES "public"."gyms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "athletes" ADD CONSTRAINT "athletes_franchise_id_family_id_families_franchise_id_id_fk" FOREIGN KEY ("franchise_id","family_id") REFERENCES "public"."families"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "employments" ADD CONSTRAINT "employments_franchise_id_person_id_staff_members_franchise_id_person_id_fk" FOREIGN KEY ("franchise_id","person_id") REFERENCES "public"."staff_members"("franchise_id","person_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "employments" ADD CONSTRAINT "employments_franchise_id_gym_id_gyms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","gym_id") REFERENCES "public"."gyms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "guardianships" ADD CONSTRAINT "guardianships_franchise_id_athlete_id_athletes_franchise_id_person_id_fk" FOREIGN KEY ("franchise_id","athlete_id") REFERENCES "public"."athletes"("franchise_id","person_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "guardianships" ADD CONSTRAINT "guardianships_franchise_id_guardian_id_persons_franchise_id_id_fk" FOREIGN KEY ("franchise_id","guardian_id") REFERENCES "public"."persons"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "person_contacts" ADD CONSTRAINT "person_contacts_franchise_id_person_id_persons_franchise_id_id_fk" FOREIGN KEY ("franchise_id","person_id") REFERENCES "public"."persons"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "person_health" ADD CONSTRAINT "person_health_franchise_id_person_id_persons_franchise_id_id_fk" FOREIGN KEY ("franchise_id","person_id") REFERENCES "public"."persons"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "person_names" ADD CONSTRAINT "person_names_franchise_id_person_id_persons_franchise_id_id_fk" FOREIGN KEY ("franchise_id","person_id") REFERENCES "public"."persons"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "qualifications" ADD CONSTRAINT "qualifications_franchise_id_person_id_staff_members_franchise_id_person_id_fk" FOREIGN KEY ("franchise_id","person_id") REFERENCES "public"."staff_members"("franchise_id","person_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "qualifications" ADD CONSTRAINT "qualifications_franchise_id_kind_id_qualification_kinds_franchise_id_id_fk" FOREIGN KEY ("franchise_id","kind_id") REFERENCES "public"."qualification_kinds"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "sign_offs" ADD CONSTRAINT "sign_offs_franchise_id_person_id_staff_members_franchise_id_person_id_fk" FOREIGN KEY ("franchise_id","person_id") REFERENCES "public"."staff_members"("franchise_id","person_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "sign_offs" ADD CONSTRAINT "sign_offs_franchise_id_skill_id_skills_franchise_id_id_fk" FOREIGN KEY ("franchise_id","skill_id") REFERENCES "public"."skills"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "sign_offs" ADD CONSTRAINT "sign_offs_franchise_id_by_person_id_persons_franchise_id_id_fk" FOREIGN KEY ("franchise_id","by_person_id") REFERENCES "public"."persons"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "skills" ADD CONSTRAINT "skills_franchise_id_apparatus_id_apparatus_franchise_id_id_fk" FOREIGN KEY ("franchise_id","apparatus_id") REFERENCES "public"."apparatus"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "staff_members" ADD CONSTRAINT "staff_members_franchise_id_person_id_persons_franchise_id_id_fk" FOREIGN KEY ("franchise_id","person_id") REFERENCES "public"."persons"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "block_areas" ADD CONSTRAINT "block_areas_franchise_id_block_id_blocks_franchise_id_id_fk" FOREIGN KEY ("franchise_id","block_id") REFERENCES "public"."blocks"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "block_areas" ADD CONSTRAINT "block_areas_franchise_id_area_id_areas_franchise_id_id_fk" FOREIGN KEY ("franchise_id","area_id") REFERENCES "public"."areas"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "blocks" ADD CONSTRAINT "blocks_franchise_id_gym_id_gyms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","gym_id") REFERENCES "public"."gyms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "blocks" ADD CONSTRAINT "blocks_franchise_id_session_id_sessions_franchise_id_id_fk" FOREIGN KEY ("franchise_id","session_id") REFERENCES "public"."sessions"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "blocks" ADD CONSTRAINT "blocks_franchise_id_group_id_groups_franchise_id_id_fk" FOREIGN KEY ("franchise_id","group_id") REFERENCES "public"."groups"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "blocks" ADD CONSTRAINT "blocks_franchise_id_plan_version_id_plan_versions_franchise_id_id_fk" FOREIGN KEY ("franchise_id","plan_version_id") REFERENCES "public"."plan_versions"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "blocks" ADD CONSTRAINT "blocks_franchise_id_plan_block_id_plan_blocks_franchise_id_id_fk" FOREIGN KEY ("franchise_id","plan_block_id") REFERENCES "public"."plan_blocks"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "class_levels" ADD CONSTRAINT "class_levels_franchise_id_class_id_classes_franchise_id_id_fk" FOREIGN KEY ("franchise_id","class_id") REFERENCES "public"."classes"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "class_levels" ADD CONSTRAINT "class_levels_franchise_id_level_id_levels_franchise_id_id_fk" FOREIGN KEY ("franchise_id","level_id") REFERENCES "public"."levels"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "classes" ADD CONSTRAINT "classes_franchise_id_gym_id_gyms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","gym_id") REFERENCES "public"."gyms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "classes" ADD CONSTRAINT "classes_franchise_id_programme_id_programmes_franchise_id_id_fk" FOREIGN KEY ("franchise_id","programme_id") REFERENCES "public"."programmes"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "enrolments" ADD CONSTRAINT "enrolments_franchise_id_class_id_classes_franchise_id_id_fk" FOREIGN KEY ("franchise_id","class_id") REFERENCES "public"."classes"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "enrolments" ADD CONSTRAINT "enrolments_franchise_id_gym_id_gyms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","gym_id") REFERENCES "public"."gyms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "enrolments" ADD CONSTRAINT "enrolments_franchise_id_athlete_id_athletes_franchise_id_person_id_fk" FOREIGN KEY ("franchise_id","athlete_id") REFERENCES "public"."athletes"("franchise_id","person_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "group_members" ADD CONSTRAINT "group_members_franchise_id_session_id_sessions_franchise_id_id_fk" FOREIGN KEY ("franchise_id","session_id") REFERENCES "public"."sessions"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "group_members" ADD CONSTRAINT "group_members_franchise_id_group_id_groups_franchise_id_id_fk" FOREIGN KEY ("franchise_id","group_id") REFERENCES "public"."groups"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "group_members" ADD CONSTRAINT "group_members_franchise_id_athlete_id_athletes_franchise_id_person_id_fk" FOREIGN KEY ("franchise_id","athlete_id") REFERENCES "public"."athletes"("franchise_id","person_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "groups" ADD CONSTRAINT "groups_franchise_id_session_id_sessions_franchise_id_id_fk" FOREIGN KEY ("franchise_id","session_id") REFERENCES "public"."sessions"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "sessions" ADD CONSTRAINT "sessions_franchise_id_gym_id_gyms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","gym_id") REFERENCES "public"."gyms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "sessions" ADD CONSTRAINT "sessions_franchise_id_class_id_classes_franchise_id_id_fk" FOREIGN KEY ("franchise_id","class_id") REFERENCES "public"."classes"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "sessions" ADD CONSTRAINT "sessions_franchise_id_plan_version_id_plan_versions_franchise_id_id_fk" FOREIGN KEY ("franchise_id","plan_version_id") REFERENCES "public"."plan_versions"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "absences" ADD CONSTRAINT "absences_franchise_id_person_id_staff_members_franchise_id_person_id_fk" FOREIGN KEY ("franchise_id","person_id") REFERENCES "public"."staff_members"("franchise_id","person_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "assignments" ADD CONSTRAINT "assignments_franchise_id_gym_id_gyms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","gym_id") REFERENCES "public"."gyms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "assignments" ADD CONSTRAINT "assignments_franchise_id_person_id_staff_members_franchise_id_person_id_fk" FOREIGN KEY ("franchise_id","person_id") REFERENCES "public"."staff_members"("franchise_id","person_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "assignments" ADD CONSTRAINT "assignments_franchise_id_block_id_blocks_franchise_id_id_fk" FOREIGN KEY ("franchise_id","block_id") REFERENCES "public"."blocks"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "assignments" ADD CONSTRAINT "assignments_franchise_id_session_id_sessions_franchise_id_id_fk" FOREIGN KEY ("franchise_id","session_id") REFERENCES "public"."sessions"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "gym_days" ADD CONSTRAINT "gym_days_franchise_id_gym_id_gyms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","gym_id") REFERENCES "public"."gyms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "overrides" ADD CONSTRAINT "overrides_franchise_id_gym_id_gyms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","gym_id") REFERENCES "public"."gyms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "ratio_rules" ADD CONSTRAINT "ratio_rules_franchise_id_gym_id_gyms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","gym_id") REFERENCES "public"."gyms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
CREATE INDEX "events_subject" ON "events" USING btree ("franchise_id","subject_id");--> statement-breakpoint
CREATE INDEX "events_gym" ON "events" USING btree ("franchise_id","gym_id","id");--> statement-breakpoint
CREATE INDEX "idempotency_keys_age" ON "idempotency_keys" USING btree ("franchise_id","used_on");--> statement-breakpoint
CREATE UNIQUE INDEX "drills_name" ON "drills" USING btree ("franchise_id","apparatus_id",lower("name"));--> statement-breakpoint
CREATE INDEX "lesson_plans_week" ON "lesson_plans" USING btree ("franchise_id","week_of");--> statement-breakpoint
CREATE UNIQUE INDEX "levels_position" ON "levels" USING btree ("franchise_id","programme_id","position");--> statement-breakpoint
CREATE UNIQUE INDEX "plan_blocks_position" ON "plan_blocks" USING btree ("franchise_id","plan_version_id","position");--> statement-breakpoint
CREATE UNIQUE INDEX "plan_stations_position" ON "plan_stations" USING btree ("franchise_id","plan_block_id","position");--> statement-breakpoint
CREATE UNIQUE INDEX "plan_steps_position" ON "plan_steps" USING btree ("franchise_id","station_id","position");--> statement-breakpoint
CREATE UNIQUE INDEX "plan_versions_number" ON "plan_versions" USING btree ("franchise_id","plan_id","number");--> statement-breakpoint
CREATE UNIQUE INDEX "plan_versions_one_draft" ON "plan_versions" USING btree ("franchise_id","plan_id") WHERE state = 'draft';--> statement-breakpoint
CREATE UNIQUE INDEX "programmes_name" ON "programmes" USING btree ("franchise_id",lower("name"));--> statement-breakpoint
CREATE INDEX "progressions_harder" ON "progressions" USING btree ("franchise_id","harder_id");--> statement-breakpoint
CREATE UNIQUE INDEX "apparatus_name" ON "apparatus" USING btree ("franchise_id",lower("name"));--> statement-breakpoint
CREATE UNIQUE INDEX "areas_name" ON "areas" USING btree ("franchise_id","gym_id",lower("name"));--> statement-breakpoint
CREATE UNIQUE INDEX "accounts_email" ON "accounts" USING btree (lower("email"));--> statement-breakpoint
CREATE UNIQUE INDEX "members_person" ON "members" USING btree ("franchise_id","person_id");--> statement-breakpoint
CREATE UNIQUE INDEX "memberships_once" ON "memberships" USING btree ("franchise_id","account_id","role",coalesce("gym_id", '00000000-0000-0000-0000-000000000000'::uuid));--> statement-breakpoint
CREATE INDEX "one_time_links_account" ON "one_time_links" USING btree ("account_id");--> statement-breakpoint
CREATE INDEX "refresh_tokens_sign_in" ON "refresh_tokens" USING btree ("sign_in_id");--> statement-breakpoint
CREATE INDEX "sign_ins_account" ON "sign_ins" USING btree ("account_id");--> statement-breakpoint
CREATE INDEX "athlete_helpers_athlete" ON "athlete_helpers" USING btree ("franchise_id","athlete_id");--> statement-breakpoint
CREATE INDEX "athlete_supports_athlete" ON "athlete_supports" USING btree ("franchise_id","athlete_id");--> statement-breakpoint
CREATE INDEX "athlete_traits_athlete" ON "athlete_traits" USING btree ("franchise_id","athlete_id");--> statement-breakpoint
CREATE INDEX "athletes_gym" ON "athletes" USING btree ("franchise_id","gym_id");--> statement-breakpoint
CREATE INDEX "employments_gym" ON "employments" USING btree ("franchise_id","gym_id");--> statement-breakpoint
CREATE INDEX "employments_person" ON "employments" USING btree ("franchise_id","person_id");--> statement-breakpoint
CREATE INDEX "guardianships_guardian" ON "guardianships" USING btree ("franchise_id","guardian_id");--> statement-breakpoint
CREATE UNIQUE INDEX "qualification_kinds_name" ON "qualification_kinds" USING btree ("franchise_id",lower("name"));--> statement-breakpoint
CREATE INDEX "qualifications_person" ON "qualifications" USING btree ("franchise_id","person_id");--> statement-breakpoint
CREATE INDEX "sign_offs_person" ON "sign_offs" USING btree ("franchise_id","person_id");--> statement-breakpoint
CREATE UNIQUE INDEX "skills_name" ON "skills" USING btree ("franchise_id","apparatus_id",lower("name"));--> statement-breakpoint
CREATE INDEX "blocks_day" ON "blocks" USING btree ("franchise_id","gym_id","day");--> statement-breakpoint
CREATE INDEX "blocks_session" ON "blocks" USING btree ("franchise_id","session_id");--> statement-breakpoint
CREATE INDEX "blocks_plan_version" ON "blocks" USING btree ("franchise_id","plan_version_id");--> statement-breakpoint
CREATE INDEX "classes_gym" ON "classes" USING btree ("franchise_id","gym_id");--> statement-breakpoint
CREATE INDEX "enrolments_class" ON "enrolments" USING btree ("franchise_id","class_id");--> statement-breakpoint
CREATE INDEX "enrolments_athlete" ON "enrolments" USING btree ("franchise_id","athlete_id");--> statement-breakpoint
CREATE INDEX "group_members_session" ON "group_members" USING btree ("franchise_id","session_id");--> statement-breakpoint
CREATE INDEX "group_members_athlete" ON "group_members" USING btree ("franchise_id","athlete_id","starts_at");--> statement-breakpoint
CREATE UNIQUE INDEX "groups_position" ON "groups" USING btree ("franchise_id","session_id","position");--> statement-breakpoint
CREATE UNIQUE INDEX "sessions_original_start" ON "sessions" USING btree ("franchise_id","class_id","original_start");--> statement-breakpoint
CREATE INDEX "sessions_day" ON "sessions" USING btree ("franchise_id","gym_id","day");--> statement-breakpoint
CREATE INDEX "absences_person" ON "absences" USING btree ("franchise_id","person_id","starts_at");--> statement-breakpoint
CREATE INDEX "assignments_day" ON "assignments" USING btree ("franchise_id","gym_id","day");--> statement-breakpoint
CREATE INDEX "assignments_person" ON "assignments" USING btree ("franchise_id","person_id","starts_at");--> statement-breakpoint
CREATE INDEX "assignments_block" ON "assignments" USING btree ("franchise_id","block_id");--> statement-breakpoint
CREATE UNIQUE INDEX "assignments_replaced_once" ON "assignments" USING btree ("franchise_id","replaces_id") WHERE released_at IS NULL;--> statement-breakpoint
CREATE INDEX "overrides_day" ON "overrides" USING btree ("franchise_id","gym_id","day");--> statement-breakpoint
CREATE INDEX "ratio_rules_gym" ON "ratio_rules" USING btree ("franchise_id","gym_id");--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "events" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "idempotency_keys" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "drill_skills" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "drills" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "lesson_plan_programmes" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "lesson_plans" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "levels" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "plan_blocks" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "plan_stations" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "plan_steps" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "plan_versions" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "programmes" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "progressions" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "apparatus" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "area_apparatus" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "areas" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "gyms" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "franchises" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "members" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "memberships" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "athlete_helpers" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "athlete_supports" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "athlete_traits" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "athletes" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "duty_rules" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "employments" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "families" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "guardianships" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "person_contacts" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "person_health" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "person_names" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "persons" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "qualification_kinds" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "qualifications" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "sign_offs" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "skills" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "staff_members" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "block_areas" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "blocks" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "class_levels" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "classes" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "enrolments" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "group_members" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "groups" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "sessions" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "absences" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "assignments" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "cover_heads" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "gym_days" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "overrides" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "ratio_rules" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);