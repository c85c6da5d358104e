CREATE TABLE "curriculum_settings" (
	"franchise_id" uuid NOT NULL,
	"limits" jsonb NOT NULL,
	"revision" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "curriculum_settings_franchise_id_pk" PRIMARY KEY("franchise_id")
);
--> statement-breakpoint
ALTER TABLE "curriculum_settings" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE TABLE "athlete_statures" (
	"franchise_id" uuid NOT NULL,
	"person_id" uuid NOT NULL,
	"cm" integer NOT NULL,
	"measured_on" date NOT NULL,
	CONSTRAINT "athlete_statures_franchise_id_person_id_pk" PRIMARY KEY("franchise_id","person_id")
);
--> statement-breakpoint
ALTER TABLE "athlete_statures" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
ALTER TABLE "apparatus" ADD COLUMN "arm_heavy" boolean DEFAULT false NOT NULL;--> statement-breakpoint
ALTER TABLE "athlete_statures" ADD CONSTRAINT "athlete_statures_franchise_id_person_id_athletes_franchise_id_person_id_fk" FOREIGN KEY ("franchise_id","person_id") REFERENCES "public"."athletes"("franchise_id","person_id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "curriculum_settings" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "athlete_statures" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);