ALTER TABLE "block_step_downs" ADD COLUMN "adaptation_id" uuid;--> statement-breakpoint
ALTER TABLE "adaptations" ADD COLUMN "spotting" jsonb;--> statement-breakpoint
-- By hand: what was adapted before. The owner is held to the row policies too, so these tables are let go for as long as
-- their rows are read and written.
ALTER TABLE adaptations NO FORCE ROW LEVEL SECURITY;--> statement-breakpoint
ALTER TABLE block_step_downs NO FORCE ROW LEVEL SECURITY;--> statement-breakpoint
ALTER TABLE blocks NO FORCE ROW LEVEL SECURITY;--> statement-breakpoint
ALTER TABLE sessions NO FORCE ROW LEVEL SECURITY;--> statement-breakpoint
-- Of several that stood for the same thing the newest goes on, and each other one is over from the next one on.
UPDATE adaptations a SET undone_at = n.next_at FROM (
  SELECT franchise_id, id, lead(created_at) OVER (
    PARTITION BY franchise_id, per, unit_id, station_id, kind, coalesce(step, piece, 0) ORDER BY created_at, id) AS next_at
  FROM adaptations WHERE undone_at IS NULL) n
WHERE n.franchise_id = a.franchise_id AND n.id = a.id AND n.next_at IS NOT NULL;--> statement-breakpoint
-- Both were written in one transaction, at one moment.
UPDATE block_step_downs d SET adaptation_id = (
  SELECT a.id FROM adaptations a
  JOIN blocks b ON b.franchise_id = d.franchise_id AND b.id = d.block_id
  JOIN sessions s ON s.franchise_id = d.franchise_id AND s.id = b.session_id
  WHERE a.franchise_id = d.franchise_id AND a.kind = 'drill' AND a.station_id = d.station_id AND a.drill_id = d.drill_id
    AND a.created_at = d.created_at
    AND a.unit_id = CASE a.per WHEN 'gym' THEN b.gym_id WHEN 'class' THEN s.class_id WHEN 'session' THEN s.id ELSE b.id END
  ORDER BY a.id DESC LIMIT 1);--> statement-breakpoint
UPDATE adaptations a SET spotting = (
  SELECT d.spotting FROM block_step_downs d
  WHERE d.franchise_id = a.franchise_id AND d.adaptation_id = a.id LIMIT 1);--> statement-breakpoint
ALTER TABLE block_step_downs ADD CONSTRAINT block_step_downs_adaptation
  FOREIGN KEY (franchise_id, adaptation_id) REFERENCES adaptations (franchise_id, id);--> statement-breakpoint
ALTER TABLE adaptations FORCE ROW LEVEL SECURITY;--> statement-breakpoint
ALTER TABLE block_step_downs FORCE ROW LEVEL SECURITY;--> statement-breakpoint
ALTER TABLE blocks FORCE ROW LEVEL SECURITY;--> statement-breakpoint
ALTER TABLE sessions FORCE ROW LEVEL SECURITY;--> statement-breakpoint
CREATE UNIQUE INDEX "adaptations_one" ON "adaptations" USING btree ("franchise_id","per","unit_id","station_id","kind",coalesce("step", "piece", 0)) WHERE undone_at IS NULL;
