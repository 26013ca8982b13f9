CREATE TABLE `calendar_feeds` (
	`id` text PRIMARY KEY NOT NULL,
	`token_hash` text NOT NULL,
	`person_id` text NOT NULL,
	`meeting_id` text NOT NULL,
	`created_by` text NOT NULL,
	`created_at` integer NOT NULL,
	`revoked_at` integer,
	`checksum` integer NOT NULL
);
--> statement-breakpoint
CREATE UNIQUE INDEX `calendar_feeds_tokenHash_unique` ON `calendar_feeds` (`token_hash`);