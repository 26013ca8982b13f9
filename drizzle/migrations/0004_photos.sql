CREATE TABLE `photos` (
	`meeting_id` text NOT NULL,
	`hash` text NOT NULL,
	`run_id` text NOT NULL,
	`type` text NOT NULL,
	`bytes` integer NOT NULL,
	`person_id` text NOT NULL,
	`at` integer NOT NULL,
	`data` blob NOT NULL,
	`checksum` integer NOT NULL,
	PRIMARY KEY(`meeting_id`, `hash`)
);
--> statement-breakpoint
CREATE INDEX `photos_by_run` ON `photos` (`meeting_id`,`run_id`);