ALTER TABLE "custody_notes" DROP CONSTRAINT "custody_notes_franchise_id_athlete_id_pk";--> statement-breakpoint
ALTER TABLE "incident_heads" DROP CONSTRAINT "incident_heads_franchise_id_gym_id_pk";--> statement-breakpoint
ALTER TABLE "incident_links" DROP CONSTRAINT "incident_links_franchise_id_gym_id_number_pk";--> statement-breakpoint
ALTER TABLE "custody_notes" ALTER COLUMN "note" DROP NOT NULL;--> statement-breakpoint
ALTER TABLE "custody_notes" ADD COLUMN "written_at" timestamp with time zone DEFAULT now() NOT NULL;--> statement-breakpoint
ALTER TABLE "custody_notes" ADD COLUMN "written_by" uuid;--> statement-breakpoint
ALTER TABLE "incident_amendments" ADD COLUMN "readers" uuid[];--> statement-breakpoint
ALTER TABLE "incident_amendments" ADD COLUMN "keep_until" date;--> statement-breakpoint
ALTER TABLE "incident_heads" ADD COLUMN "chain" text DEFAULT 'notes' NOT NULL;--> statement-breakpoint
ALTER TABLE "incident_links" ADD COLUMN "chain" text DEFAULT 'notes' NOT NULL;--> statement-breakpoint
ALTER TABLE "incident_readers" ADD COLUMN "amendment_id" uuid;--> statement-breakpoint
ALTER TABLE "attendance_marks" DROP COLUMN "collector_name";--> statement-breakpoint
ALTER TABLE "custody_notes" ADD CONSTRAINT "custody_notes_franchise_id_athlete_id_revision_pk" PRIMARY KEY("franchise_id","athlete_id","revision");--> statement-breakpoint
ALTER TABLE "incident_heads" ADD CONSTRAINT "incident_heads_franchise_id_gym_id_chain_pk" PRIMARY KEY("franchise_id","gym_id","chain");--> statement-breakpoint
ALTER TABLE "incident_links" ADD CONSTRAINT "incident_links_franchise_id_gym_id_chain_number_pk" PRIMARY KEY("franchise_id","gym_id","chain","number");--> statement-breakpoint
ALTER TABLE "incident_readers" ADD CONSTRAINT "incident_readers_franchise_id_amendment_id_incident_amendments_franchise_id_id_fk" FOREIGN KEY ("franchise_id","amendment_id") REFERENCES "public"."incident_amendments"("franchise_id","id") ON DELETE no action ON UPDATE no action;