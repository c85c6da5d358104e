CREATE TABLE "activity_holds" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"athlete_id" uuid NOT NULL,
	"since" timestamp with time zone NOT NULL,
	"why" text NOT NULL,
	"incident_id" uuid,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"cleared_at" timestamp with time zone,
	"clearance_id" uuid,
	CONSTRAINT "activity_holds_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "activity_holds" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "attendance" (
	"franchise_id" uuid NOT NULL,
	"session_id" uuid NOT NULL,
	"athlete_id" uuid NOT NULL,
	"gym_id" uuid NOT NULL,
	"kind" text NOT NULL,
	"state" text NOT NULL,
	"since" timestamp with time zone NOT NULL,
	"late" boolean DEFAULT false NOT NULL,
	"group_id" uuid,
	"findings" text[] NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "attendance_franchise_id_session_id_athlete_id_pk" PRIMARY KEY("franchise_id","session_id","athlete_id")
);
--> statement-breakpoint
ALTER TABLE "attendance" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "attendance_marks" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"gym_id" uuid NOT NULL,
	"session_id" uuid NOT NULL,
	"athlete_id" uuid NOT NULL,
	"kind" text NOT NULL,
	"at" timestamp with time zone NOT NULL,
	"recorded_at" timestamp with time zone NOT NULL,
	"recorded_by" uuid,
	"collector_id" uuid,
	"collector_name" text,
	"undone_at" timestamp with time zone,
	"undone_by" uuid,
	"conflict" text,
	CONSTRAINT "attendance_marks_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "attendance_marks" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "block_roll_entries" (
	"franchise_id" uuid NOT NULL,
	"roll_id" uuid NOT NULL,
	"athlete_id" uuid NOT NULL,
	"here" boolean NOT NULL,
	CONSTRAINT "block_roll_entries_franchise_id_roll_id_athlete_id_pk" PRIMARY KEY("franchise_id","roll_id","athlete_id")
);
--> statement-breakpoint
ALTER TABLE "block_roll_entries" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "block_rolls" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"gym_id" uuid NOT NULL,
	"block_id" uuid NOT NULL,
	"at" timestamp with time zone NOT NULL,
	"recorded_at" timestamp with time zone NOT NULL,
	"recorded_by" uuid,
	"counted" integer,
	CONSTRAINT "block_rolls_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "block_rolls" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "collectors" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"athlete_id" uuid NOT NULL,
	"name" text NOT NULL,
	"relation" text NOT NULL,
	"from_day" date NOT NULL,
	"until_day" date,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"created_by" uuid,
	CONSTRAINT "collectors_franchise_id_id_pk" PRIMARY KEY("franchise_id","id"),
	CONSTRAINT "collectors_days" CHECK ("collectors"."until_day" IS NULL OR "collectors"."until_day" >= "collectors"."from_day")
);
--> statement-breakpoint
ALTER TABLE "collectors" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "custody_notes" (
	"franchise_id" uuid NOT NULL,
	"athlete_id" uuid NOT NULL,
	"note" text NOT NULL,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "custody_notes_franchise_id_athlete_id_pk" PRIMARY KEY("franchise_id","athlete_id")
);
--> statement-breakpoint
ALTER TABLE "custody_notes" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "offline_items" (
	"franchise_id" uuid NOT NULL,
	"client_id" uuid NOT NULL,
	"gym_id" uuid NOT NULL,
	"kind" text NOT NULL,
	"fingerprint" text NOT NULL,
	"at" timestamp with time zone NOT NULL,
	"recorded_at" timestamp with time zone NOT NULL,
	"recorded_by" uuid,
	"outcome" text NOT NULL,
	"problem" text,
	"detail" text,
	"about" uuid,
	"settled_at" timestamp with time zone,
	"settled_by" uuid,
	CONSTRAINT "offline_items_franchise_id_client_id_pk" PRIMARY KEY("franchise_id","client_id")
);
--> statement-breakpoint
ALTER TABLE "offline_items" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "outings" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"gym_id" uuid NOT NULL,
	"session_id" uuid NOT NULL,
	"athlete_id" uuid NOT NULL,
	"with_person_id" uuid,
	"why" text NOT NULL,
	"out_at" timestamp with time zone NOT NULL,
	"back_at" timestamp with time zone,
	"recorded_at" timestamp with time zone NOT NULL,
	"recorded_by" uuid,
	"undone_at" timestamp with time zone,
	"undone_by" uuid,
	CONSTRAINT "outings_franchise_id_id_pk" PRIMARY KEY("franchise_id","id"),
	CONSTRAINT "outings_span" CHECK ("outings"."back_at" IS NULL OR "outings"."back_at" >= "outings"."out_at")
);
--> statement-breakpoint
ALTER TABLE "outings" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "staff_marks" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"gym_id" uuid NOT NULL,
	"person_id" uuid NOT NULL,
	"day" date NOT NULL,
	"kind" text NOT NULL,
	"at" timestamp with time zone NOT NULL,
	"recorded_at" timestamp with time zone NOT NULL,
	"recorded_by" uuid,
	"undone_at" timestamp with time zone,
	"undone_by" uuid,
	"conflict" text,
	CONSTRAINT "staff_marks_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "staff_marks" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "staff_stays" (
	"franchise_id" uuid NOT NULL,
	"gym_id" uuid NOT NULL,
	"day" date NOT NULL,
	"person_id" uuid NOT NULL,
	"position" integer NOT NULL,
	"kind" text NOT NULL,
	"in_at" timestamp with time zone,
	"out_at" timestamp with time zone,
	CONSTRAINT "staff_stays_franchise_id_gym_id_day_person_id_position_pk" PRIMARY KEY("franchise_id","gym_id","day","person_id","position"),
	CONSTRAINT "staff_stays_span" CHECK ("staff_stays"."out_at" IS NULL OR "staff_stays"."in_at" IS NULL OR "staff_stays"."out_at" >= "staff_stays"."in_at")
);
--> statement-breakpoint
ALTER TABLE "staff_stays" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "stays" (
	"franchise_id" uuid NOT NULL,
	"session_id" uuid NOT NULL,
	"athlete_id" uuid NOT NULL,
	"position" integer NOT NULL,
	"gym_id" uuid NOT NULL,
	"in_at" timestamp with time zone,
	"out_at" timestamp with time zone,
	CONSTRAINT "stays_franchise_id_session_id_athlete_id_position_pk" PRIMARY KEY("franchise_id","session_id","athlete_id","position"),
	CONSTRAINT "stays_span" CHECK ("stays"."out_at" IS NULL OR "stays"."in_at" IS NULL OR "stays"."out_at" >= "stays"."in_at")
);
--> statement-breakpoint
ALTER TABLE "stays" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "incident_amendments" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"incident_id" uuid NOT NULL,
	"what" text NOT NULL,
	"said" text NOT NULL,
	"who" text,
	"at" timestamp with time zone,
	"completion" jsonb,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"created_by" uuid NOT NULL,
	"signed_as" text NOT NULL,
	CONSTRAINT "incident_amendments_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "incident_amendments" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "incident_attachments" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"incident_id" uuid NOT NULL,
	"name" text NOT NULL,
	"media_type" text NOT NULL,
	"size" integer NOT NULL,
	"sha256" text NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"created_by" uuid NOT NULL,
	CONSTRAINT "incident_attachments_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "incident_attachments" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "incident_clearances" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"concussion_id" uuid NOT NULL,
	"professional" text NOT NULL,
	"profession" text NOT NULL,
	"licence" text NOT NULL,
	"licensed_by" text NOT NULL,
	"examined_on" date NOT NULL,
	"stages" jsonb NOT NULL,
	"attachment_id" uuid,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"created_by" uuid NOT NULL,
	CONSTRAINT "incident_clearances_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "incident_clearances" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "incident_concussions" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"incident_id" uuid NOT NULL,
	"athlete_id" uuid NOT NULL,
	"edition" text NOT NULL,
	"observed" text[] NOT NULL,
	"hold_id" uuid NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"created_by" uuid NOT NULL,
	CONSTRAINT "incident_concussions_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "incident_concussions" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "incident_contents" (
	"franchise_id" uuid NOT NULL,
	"attachment_id" uuid NOT NULL,
	"content" "bytea" NOT NULL,
	CONSTRAINT "incident_contents_franchise_id_attachment_id_pk" PRIMARY KEY("franchise_id","attachment_id")
);
--> statement-breakpoint
ALTER TABLE "incident_contents" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "incident_follow_ups" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"incident_id" uuid NOT NULL,
	"what" text NOT NULL,
	"due_on" date NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"created_by" uuid NOT NULL,
	"done_at" timestamp with time zone,
	"done_by" uuid,
	"outcome" text,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "incident_follow_ups_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "incident_follow_ups" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "incident_heads" (
	"franchise_id" uuid NOT NULL,
	"gym_id" uuid NOT NULL,
	"number" integer NOT NULL,
	"hash" text NOT NULL,
	CONSTRAINT "incident_heads_franchise_id_gym_id_pk" PRIMARY KEY("franchise_id","gym_id")
);
--> statement-breakpoint
ALTER TABLE "incident_heads" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "incident_links" (
	"franchise_id" uuid NOT NULL,
	"gym_id" uuid NOT NULL,
	"number" integer NOT NULL,
	"incident_id" uuid NOT NULL,
	"what" text NOT NULL,
	"subject_id" uuid NOT NULL,
	"at" timestamp with time zone NOT NULL,
	"content_hash" text NOT NULL,
	"previous" text NOT NULL,
	"hash" text NOT NULL,
	CONSTRAINT "incident_links_franchise_id_gym_id_number_pk" PRIMARY KEY("franchise_id","gym_id","number")
);
--> statement-breakpoint
ALTER TABLE "incident_links" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "incident_people" (
	"franchise_id" uuid NOT NULL,
	"incident_id" uuid NOT NULL,
	"person_id" uuid NOT NULL,
	"part" text NOT NULL,
	CONSTRAINT "incident_people_franchise_id_incident_id_person_id_pk" PRIMARY KEY("franchise_id","incident_id","person_id")
);
--> statement-breakpoint
ALTER TABLE "incident_people" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "incident_readers" (
	"franchise_id" uuid NOT NULL,
	"incident_id" uuid NOT NULL,
	"account_id" uuid NOT NULL,
	CONSTRAINT "incident_readers_franchise_id_incident_id_account_id_pk" PRIMARY KEY("franchise_id","incident_id","account_id")
);
--> statement-breakpoint
ALTER TABLE "incident_readers" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "incident_snapshots" (
	"franchise_id" uuid NOT NULL,
	"incident_id" uuid NOT NULL,
	"taken_at" timestamp with time zone NOT NULL,
	"facts" jsonb NOT NULL,
	CONSTRAINT "incident_snapshots_franchise_id_incident_id_pk" PRIMARY KEY("franchise_id","incident_id")
);
--> statement-breakpoint
ALTER TABLE "incident_snapshots" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "incidents" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"gym_id" uuid NOT NULL,
	"kind" text NOT NULL,
	"occurred_at" timestamp with time zone NOT NULL,
	"day" date NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"written_by" uuid NOT NULL,
	"session_id" uuid,
	"block_id" uuid,
	"what" text NOT NULL,
	"where_it_hurts" text NOT NULL,
	"done" text NOT NULL,
	"told" text NOT NULL,
	"completion" jsonb,
	"completed_at" timestamp with time zone,
	"completed_by" uuid,
	"sent_at" timestamp with time zone,
	"sent_by" uuid,
	"signed_as" text,
	"keep_until" date,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "incidents_franchise_id_id_pk" PRIMARY KEY("franchise_id","id"),
	CONSTRAINT "incidents_sent" CHECK (("incidents"."sent_at" IS NULL) = ("incidents"."sent_by" IS NULL) AND ("incidents"."sent_at" IS NULL) = ("incidents"."signed_as" IS NULL))
);
--> statement-breakpoint
ALTER TABLE "incidents" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
ALTER TABLE "gyms" ADD COLUMN "door" text DEFAULT 'admit' NOT NULL;--> statement-breakpoint
ALTER TABLE "activity_holds" ADD CONSTRAINT "activity_holds_franchise_id_athlete_id_athletes_franchise_id_person_id_fk" FOREIGN KEY ("franchise_id","athlete_id") REFERENCES "public"."athletes"("franchise_id","person_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "attendance" ADD CONSTRAINT "attendance_franchise_id_session_id_sessions_franchise_id_id_fk" FOREIGN KEY ("franchise_id","session_id") REFERENCES "public"."sessions"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "attendance" ADD CONSTRAINT "attendance_franchise_id_athlete_id_athletes_franchise_id_person_id_fk" FOREIGN KEY ("franchise_id","athlete_id") REFERENCES "public"."athletes"("franchise_id","person_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "attendance" ADD CONSTRAINT "attendance_franchise_id_gym_id_gyms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","gym_id") REFERENCES "public"."gyms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "attendance" ADD CONSTRAINT "attendance_franchise_id_group_id_groups_franchise_id_id_fk" FOREIGN KEY ("franchise_id","group_id") REFERENCES "public"."groups"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "attendance_marks" ADD CONSTRAINT "attendance_marks_franchise_id_gym_id_gyms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","gym_id") REFERENCES "public"."gyms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "attendance_marks" ADD CONSTRAINT "attendance_marks_franchise_id_session_id_athlete_id_attendance_franchise_id_session_id_athlete_id_fk" FOREIGN KEY ("franchise_id","session_id","athlete_id") REFERENCES "public"."attendance"("franchise_id","session_id","athlete_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "block_roll_entries" ADD CONSTRAINT "block_roll_entries_franchise_id_roll_id_block_rolls_franchise_id_id_fk" FOREIGN KEY ("franchise_id","roll_id") REFERENCES "public"."block_rolls"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "block_roll_entries" ADD CONSTRAINT "block_roll_entries_franchise_id_athlete_id_athletes_franchise_id_person_id_fk" FOREIGN KEY ("franchise_id","athlete_id") REFERENCES "public"."athletes"("franchise_id","person_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "block_rolls" ADD CONSTRAINT "block_rolls_franchise_id_gym_id_gyms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","gym_id") REFERENCES "public"."gyms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "block_rolls" ADD CONSTRAINT "block_rolls_franchise_id_block_id_blocks_franchise_id_id_fk" FOREIGN KEY ("franchise_id","block_id") REFERENCES "public"."blocks"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "collectors" ADD CONSTRAINT "collectors_franchise_id_athlete_id_athletes_franchise_id_person_id_fk" FOREIGN KEY ("franchise_id","athlete_id") REFERENCES "public"."athletes"("franchise_id","person_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "custody_notes" ADD CONSTRAINT "custody_notes_franchise_id_athlete_id_athletes_franchise_id_person_id_fk" FOREIGN KEY ("franchise_id","athlete_id") REFERENCES "public"."athletes"("franchise_id","person_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "offline_items" ADD CONSTRAINT "offline_items_franchise_id_gym_id_gyms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","gym_id") REFERENCES "public"."gyms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "outings" ADD CONSTRAINT "outings_franchise_id_gym_id_gyms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","gym_id") REFERENCES "public"."gyms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "outings" ADD CONSTRAINT "outings_franchise_id_session_id_sessions_franchise_id_id_fk" FOREIGN KEY ("franchise_id","session_id") REFERENCES "public"."sessions"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "outings" ADD CONSTRAINT "outings_franchise_id_athlete_id_athletes_franchise_id_person_id_fk" FOREIGN KEY ("franchise_id","athlete_id") REFERENCES "public"."athletes"("franchise_id","person_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "outings" ADD CONSTRAINT "outings_franchise_id_with_person_id_persons_franchise_id_id_fk" FOREIGN KEY ("franchise_id","with_person_id") REFERENCES "public"."persons"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "staff_marks" ADD CONSTRAINT "staff_marks_franchise_id_gym_id_gyms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","gym_id") REFERENCES "public"."gyms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "staff_marks" ADD CONSTRAINT "staff_marks_franchise_id_person_id_staff_members_franchise_id_person_id_fk" FOREIGN KEY ("franchise_id","person_id") REFERENCES "public"."staff_members"("franchise_id","person_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "staff_stays" ADD CONSTRAINT "staff_stays_franchise_id_gym_id_gyms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","gym_id") REFERENCES "public"."gyms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "staff_stays" ADD CONSTRAINT "staff_stays_franchise_id_person_id_staff_members_franchise_id_person_id_fk" FOREIGN KEY ("franchise_id","person_id") REFERENCES "public"."staff_members"("franchise_id","person_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "stays" ADD CONSTRAINT "stays_franchise_id_session_id_athlete_id_attendance_franchise_id_session_id_athlete_id_fk" FOREIGN KEY ("franchise_id","session_id","athlete_id") REFERENCES "public"."attendance"("franchise_id","session_id","athlete_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "incident_amendments" ADD CONSTRAINT "incident_amendments_franchise_id_incident_id_incidents_franchise_id_id_fk" FOREIGN KEY ("franchise_id","incident_id") REFERENCES "public"."incidents"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "incident_attachments" ADD CONSTRAINT "incident_attachments_franchise_id_incident_id_incidents_franchise_id_id_fk" FOREIGN KEY ("franchise_id","incident_id") REFERENCES "public"."incidents"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "incident_clearances" ADD CONSTRAINT "incident_clearances_franchise_id_concussion_id_incident_concussions_franchise_id_id_fk" FOREIGN KEY ("franchise_id","concussion_id") REFERENCES "public"."incident_concussions"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "incident_clearances" ADD CONSTRAINT "incident_clearances_franchise_id_attachment_id_incident_attachments_franchise_id_id_fk" FOREIGN KEY ("franchise_id","attachment_id") REFERENCES "public"."incident_attachments"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "incident_concussions" ADD CONSTRAINT "incident_concussions_franchise_id_incident_id_incidents_franchise_id_id_fk" FOREIGN KEY ("franchise_id","incident_id") REFERENCES "public"."incidents"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "incident_concussions" ADD CONSTRAINT "incident_concussions_franchise_id_athlete_id_athletes_franchise_id_person_id_fk" FOREIGN KEY ("franchise_id","athlete_id") REFERENCES "public"."athletes"("franchise_id","person_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "incident_contents" ADD CONSTRAINT "incident_contents_franchise_id_attachment_id_incident_attachments_franchise_id_id_fk" FOREIGN KEY ("franchise_id","attachment_id") REFERENCES "public"."incident_attachments"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "incident_follow_ups" ADD CONSTRAINT "incident_follow_ups_franchise_id_incident_id_incidents_franchise_id_id_fk" FOREIGN KEY ("franchise_id","incident_id") REFERENCES "public"."incidents"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "incident_heads" ADD CONSTRAINT "incident_heads_franchise_id_gym_id_gyms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","gym_id") REFERENCES "public"."gyms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "incident_links" ADD CONSTRAINT "incident_links_franchise_id_gym_id_gyms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","gym_id") REFERENCES "public"."gyms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "incident_links" ADD CONSTRAINT "incident_links_franchise_id_incident_id_incidents_franchise_id_id_fk" FOREIGN KEY ("franchise_id","incident_id") REFERENCES "public"."incidents"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "incident_people" ADD CONSTRAINT "incident_people_franchise_id_incident_id_incidents_franchise_id_id_fk" FOREIGN KEY ("franchise_id","incident_id") REFERENCES "public"."incidents"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "incident_people" ADD CONSTRAINT "incident_people_franchise_id_person_id_persons_franchise_id_id_fk" FOREIGN KEY ("franchise_id","person_id") REFERENCES "public"."persons"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "incident_readers" ADD CONSTRAINT "incident_readers_franchise_id_incident_id_incidents_franchise_id_id_fk" FOREIGN KEY ("franchise_id","incident_id") REFERENCES "public"."incidents"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "incident_readers" ADD CONSTRAINT "incident_readers_franchise_id_account_id_members_franchise_id_account_id_fk" FOREIGN KEY ("franchise_id","account_id") REFERENCES "public"."members"("franchise_id","account_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "incident_snapshots" ADD CONSTRAINT "incident_snapshots_franchise_id_incident_id_incidents_franchise_id_id_fk" FOREIGN KEY ("franchise_id","incident_id") REFERENCES "public"."incidents"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "incidents" ADD CONSTRAINT "incidents_franchise_id_gym_id_gyms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","gym_id") REFERENCES "public"."gyms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "incidents" ADD CONSTRAINT "incidents_franchise_id_session_id_sessions_franchise_id_id_fk" FOREIGN KEY ("franchise_id","session_id") REFERENCES "public"."sessions"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "incidents" ADD CONSTRAINT "incidents_franchise_id_block_id_blocks_franchise_id_id_fk" FOREIGN KEY ("franchise_id","block_id") REFERENCES "public"."blocks"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
CREATE INDEX "activity_holds_open" ON "activity_holds" USING btree ("franchise_id","athlete_id") WHERE "activity_holds"."cleared_at" IS NULL;--> statement-breakpoint
CREATE INDEX "attendance_athlete" ON "attendance" USING btree ("franchise_id","athlete_id");--> statement-breakpoint
CREATE INDEX "attendance_state" ON "attendance" USING btree ("franchise_id","gym_id","state");--> statement-breakpoint
CREATE INDEX "attendance_marks_of" ON "attendance_marks" USING btree ("franchise_id","session_id","athlete_id");--> statement-breakpoint
CREATE INDEX "attendance_marks_conflict" ON "attendance_marks" USING btree ("franchise_id","gym_id") WHERE "attendance_marks"."conflict" IS NOT NULL;--> statement-breakpoint
CREATE INDEX "block_rolls_block" ON "block_rolls" USING btree ("franchise_id","block_id","at");--> statement-breakpoint
CREATE INDEX "collectors_athlete" ON "collectors" USING btree ("franchise_id","athlete_id");--> statement-breakpoint
CREATE INDEX "offline_items_about" ON "offline_items" USING btree ("franchise_id","about");--> statement-breakpoint
CREATE INDEX "offline_items_unsettled" ON "offline_items" USING btree ("franchise_id","gym_id") WHERE "offline_items"."problem" IS NOT NULL AND "offline_items"."settled_at" IS NULL;--> statement-breakpoint
CREATE INDEX "outings_session" ON "outings" USING btree ("franchise_id","session_id");--> statement-breakpoint
CREATE INDEX "staff_marks_day" ON "staff_marks" USING btree ("franchise_id","gym_id","day","person_id");--> statement-breakpoint
CREATE INDEX "stays_open" ON "stays" USING btree ("franchise_id","gym_id") WHERE "stays"."out_at" IS NULL;--> statement-breakpoint
CREATE INDEX "incident_amendments_of" ON "incident_amendments" USING btree ("franchise_id","incident_id");--> statement-breakpoint
CREATE INDEX "incident_attachments_of" ON "incident_attachments" USING btree ("franchise_id","incident_id");--> statement-breakpoint
CREATE INDEX "incident_clearances_of" ON "incident_clearances" USING btree ("franchise_id","concussion_id");--> statement-breakpoint
CREATE INDEX "incident_concussions_of" ON "incident_concussions" USING btree ("franchise_id","incident_id");--> statement-breakpoint
CREATE INDEX "incident_follow_ups_of" ON "incident_follow_ups" USING btree ("franchise_id","incident_id");--> statement-breakpoint
CREATE INDEX "incident_links_subject" ON "incident_links" USING btree ("franchise_id","subject_id");--> statement-breakpoint
CREATE INDEX "incident_people_person" ON "incident_people" USING btree ("franchise_id","person_id");--> statement-breakpoint
CREATE INDEX "incidents_gym" ON "incidents" USING btree ("franchise_id","gym_id","id");--> statement-breakpoint
CREATE INDEX "incidents_keep" ON "incidents" USING btree ("franchise_id","gym_id","keep_until");--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "activity_holds" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "attendance" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "attendance_marks" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "block_roll_entries" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "block_rolls" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "collectors" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "custody_notes" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "offline_items" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "outings" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "staff_marks" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "staff_stays" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "stays" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "incident_amendments" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "incident_attachments" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "incident_clearances" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "incident_concussions" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "incident_contents" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "incident_follow_ups" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "incident_heads" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "incident_links" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "incident_people" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "incident_readers" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "incident_snapshots" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "incidents" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);