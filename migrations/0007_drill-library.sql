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
ALTER TABLE "drills" ADD COLUMN "if_it_goes_wrong" text DEFAULT '' NOT NULL;--> statement-breakpoint
ALTER TABLE "drills" ADD COLUMN "look_fors" jsonb DEFAULT '[]'::jsonb NOT NULL;--> statement-breakpoint
ALTER TABLE "drills" ADD COLUMN "places_are" text DEFAULT 'side-by-side' NOT NULL;--> statement-breakpoint
ALTER TABLE "drills" ADD COLUMN "height" text;--> statement-breakpoint
ALTER TABLE "drills" ADD COLUMN "demonstration" text;--> statement-breakpoint
ALTER TABLE "drills" ADD COLUMN "diagram" jsonb;--> statement-breakpoint
ALTER TABLE "drills" ADD COLUMN "retired_at" timestamp with time zone;--> statement-breakpoint
ALTER TABLE "progressions" ADD COLUMN "kind" text DEFAULT 'skill' NOT NULL;--> statement-breakpoint
ALTER TABLE "apparatus" ADD COLUMN "seconds_a_turn" integer DEFAULT 20 NOT NULL;--> statement-breakpoint
ALTER TABLE "apparatus" ADD COLUMN "length_cm" integer;--> statement-breakpoint
ALTER TABLE "apparatus" ADD COLUMN "width_cm" integer;--> statement-breakpoint
ALTER TABLE "apparatus" ADD COLUMN "height_cm" integer;--> statement-breakpoint
ALTER TABLE "drill_equipment" ADD CONSTRAINT "drill_equipment_franchise_id_drill_id_drills_franchise_id_id_fk" FOREIGN KEY ("franchise_id","drill_id") REFERENCES "public"."drills"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "drill_equipment" ADD CONSTRAINT "drill_equipment_franchise_id_apparatus_id_apparatus_franchise_id_id_fk" FOREIGN KEY ("franchise_id","apparatus_id") REFERENCES "public"."apparatus"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "drill_equipment" ADD CONSTRAINT "drill_equipment_franchise_id_raise_id_apparatus_franchise_id_id_fk" FOREIGN KEY ("franchise_id","raise_id") REFERENCES "public"."apparatus"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "drill_levels" ADD CONSTRAINT "drill_levels_franchise_id_drill_id_drills_franchise_id_id_fk" FOREIGN KEY ("franchise_id","drill_id") REFERENCES "public"."drills"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "drill_levels" ADD CONSTRAINT "drill_levels_franchise_id_programme_id_programmes_franchise_id_id_fk" FOREIGN KEY ("franchise_id","programme_id") REFERENCES "public"."programmes"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "drill_levels" ADD CONSTRAINT "drill_levels_franchise_id_from_level_id_levels_franchise_id_id_fk" FOREIGN KEY ("franchise_id","from_level_id") REFERENCES "public"."levels"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "drill_levels" ADD CONSTRAINT "drill_levels_franchise_id_to_level_id_levels_franchise_id_id_fk" FOREIGN KEY ("franchise_id","to_level_id") REFERENCES "public"."levels"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "out_of_use" ADD CONSTRAINT "out_of_use_franchise_id_area_id_areas_franchise_id_id_fk" FOREIGN KEY ("franchise_id","area_id") REFERENCES "public"."areas"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "out_of_use" ADD CONSTRAINT "out_of_use_franchise_id_apparatus_id_apparatus_franchise_id_id_fk" FOREIGN KEY ("franchise_id","apparatus_id") REFERENCES "public"."apparatus"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
CREATE INDEX "drill_skills_skill" ON "drill_skills" USING btree ("franchise_id","skill_id");--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "drill_equipment" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "drill_levels" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "out_of_use" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);