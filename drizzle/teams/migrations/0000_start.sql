CREATE TABLE `operator_codes` (
	`code_hash` text PRIMARY KEY NOT NULL,
	`created_at` integer NOT NULL,
	`expires_at` integer NOT NULL,
	`used_at` integer,
	`checksum` integer NOT NULL
);
--> statement-breakpoint
CREATE TABLE `teams` (
	`address` text PRIMARY KEY NOT NULL,
	`name` text NOT NULL,
	`created_at` integer NOT NULL,
	`archived_at` integer,
	`checksum` integer NOT NULL
);
