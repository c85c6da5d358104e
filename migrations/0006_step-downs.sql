CREATE TABLE "block_step_downs" (
	"franchise_id" uuid NOT NULL,
	"id" uuid NOT NULL,
	"gym_id" uuid NOT NULL,
	"block_id" uuid NOT NULL,
	"station_id" uuid NOT NULL,
	"drill_id" uuid NOT NULL,
	"spotting" jsonb NOT NULL,
	"reason" text NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"created_by" uuid,
	"undone_at" timestamp with time zone,
	"undone_by" uuid,
	CONSTRAINT "block_step_downs_franchise_id_id_pk" PRIMARY KEY("franchise_id","id")
);
--> statement-breakpoint
ALTER TABLE "block_step_downs" ENABLE ROW LEVEL SECURITY;--> statement-breakpoint
ALTER TABLE "qualification_kinds" ADD COLUMN "until_day" date;--> statement-breakpoint
ALTER TABLE "block_step_downs" ADD CONSTRAINT "block_step_downs_franchise_id_gym_id_gyms_franchise_id_id_fk" FOREIGN KEY ("franchise_id","gym_id") REFERENCES "public"."gyms"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "block_step_downs" ADD CONSTRAINT "block_step_downs_franchise_id_block_id_blocks_franchise_id_id_fk" FOREIGN KEY ("franchise_id","block_id") REFERENCES "public"."blocks"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "block_step_downs" ADD CONSTRAINT "block_step_downs_franchise_id_station_id_plan_stations_franchise_id_id_fk" FOREIGN KEY ("franchise_id","station_id") REFERENCES "public"."plan_stations"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "block_step_downs" ADD CONSTRAINT "block_step_downs_franchise_id_drill_id_drills_franchise_id_id_fk" FOREIGN KEY ("franchise_id","drill_id") REFERENCES "public"."drills"("franchise_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
CREATE INDEX "block_step_downs_block" ON "block_step_downs" USING btree ("franchise_id","block_id");--> statement-breakpoint
CREATE UNIQUE INDEX "block_step_downs_one" ON "block_step_downs" USING btree ("franchise_id","block_id","station_id") WHERE undone_at IS NULL;--> statement-breakpoint
ALTER TABLE "activity_holds" DROP COLUMN "incident_id";--> statement-breakpoint
CREATE POLICY "of_this_tenant" ON "block_step_downs" AS PERMISSIVE FOR ALL TO public USING (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid) WITH CHECK (franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid);