ALTER TABLE "groups" ADD CONSTRAINT "groups_session" UNIQUE("franchise_id","session_id","id");--> statement-breakpoint
ALTER TABLE "attendance" DROP CONSTRAINT "attendance_franchise_id_group_id_groups_franchise_id_id_fk";
--> statement-breakpoint
ALTER TABLE "blocks" DROP CONSTRAINT "blocks_franchise_id_group_id_groups_franchise_id_id_fk";
--> statement-breakpoint
ALTER TABLE "group_members" DROP CONSTRAINT "group_members_franchise_id_group_id_groups_franchise_id_id_fk";
--> statement-breakpoint
ALTER TABLE "attendance" ADD CONSTRAINT "attendance_franchise_id_session_id_group_id_groups_franchise_id_session_id_id_fk" FOREIGN KEY ("franchise_id","session_id","group_id") REFERENCES "public"."groups"("franchise_id","session_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "blocks" ADD CONSTRAINT "blocks_franchise_id_session_id_group_id_groups_franchise_id_session_id_id_fk" FOREIGN KEY ("franchise_id","session_id","group_id") REFERENCES "public"."groups"("franchise_id","session_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "group_members" ADD CONSTRAINT "group_members_franchise_id_session_id_group_id_groups_franchise_id_session_id_id_fk" FOREIGN KEY ("franchise_id","session_id","group_id") REFERENCES "public"."groups"("franchise_id","session_id","id") ON DELETE no action ON UPDATE no action;
