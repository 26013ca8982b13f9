CREATE TABLE `audit` (
	`seq` integer PRIMARY KEY AUTOINCREMENT NOT NULL,
	`room_id` integer NOT NULL,
	`at` integer NOT NULL,
	`person_id` text NOT NULL,
	`device_id` text NOT NULL,
	`collection` text NOT NULL,
	`record_id` text NOT NULL,
	`field` text NOT NULL,
	`before` text,
	`after` text,
	`outcome` text NOT NULL,
	`checksum` integer NOT NULL,
	FOREIGN KEY (`room_id`) REFERENCES `rooms`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `audit_by_room` ON `audit` (`room_id`);--> statement-breakpoint
CREATE INDEX `audit_by_record` ON `audit` (`room_id`,`record_id`);--> statement-breakpoint
CREATE TABLE `authors` (
	`room_id` integer NOT NULL,
	`client_id` integer NOT NULL,
	`person_id` text NOT NULL,
	`checksum` integer NOT NULL,
	PRIMARY KEY(`room_id`, `client_id`),
	FOREIGN KEY (`room_id`) REFERENCES `rooms`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE TABLE `invitations` (
	`id` text PRIMARY KEY NOT NULL,
	`code_hash` text NOT NULL,
	`role` text NOT NULL,
	`name` text,
	`single_use` integer NOT NULL,
	`created_by` text NOT NULL,
	`created_at` integer NOT NULL,
	`expires_at` integer NOT NULL,
	`uses` integer NOT NULL,
	`revoked_at` integer,
	`checksum` integer NOT NULL
);
--> statement-breakpoint
CREATE UNIQUE INDEX `invitations_codeHash_unique` ON `invitations` (`code_hash`);--> statement-breakpoint
CREATE TABLE `people` (
	`id` text PRIMARY KEY NOT NULL,
	`name` text NOT NULL,
	`role` text NOT NULL,
	`created_at` integer NOT NULL,
	`checksum` integer NOT NULL
);
--> statement-breakpoint
CREATE TABLE `rooms` (
	`id` integer PRIMARY KEY NOT NULL,
	`name` text NOT NULL,
	`checksum` integer NOT NULL
);
--> statement-breakpoint
CREATE UNIQUE INDEX `rooms_name_unique` ON `rooms` (`name`);--> statement-breakpoint
CREATE TABLE `sessions` (
	`id` text PRIMARY KEY NOT NULL,
	`token_hash` text NOT NULL,
	`person_id` text NOT NULL,
	`device_id` text NOT NULL,
	`device` text NOT NULL,
	`invitation_id` text,
	`created_at` integer NOT NULL,
	`last_seen_at` integer NOT NULL,
	`expires_at` integer NOT NULL,
	`revoked_at` integer,
	`checksum` integer NOT NULL,
	FOREIGN KEY (`person_id`) REFERENCES `people`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE UNIQUE INDEX `sessions_tokenHash_unique` ON `sessions` (`token_hash`);--> statement-breakpoint
CREATE INDEX `sessions_by_person` ON `sessions` (`person_id`);--> statement-breakpoint
CREATE TABLE `snapshots` (
	`room_id` integer PRIMARY KEY NOT NULL,
	`data` blob NOT NULL,
	`checksum` integer NOT NULL,
	FOREIGN KEY (`room_id`) REFERENCES `rooms`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE TABLE `updates` (
	`seq` integer PRIMARY KEY AUTOINCREMENT NOT NULL,
	`room_id` integer NOT NULL,
	`at` integer NOT NULL,
	`data` blob NOT NULL,
	`checksum` integer NOT NULL,
	FOREIGN KEY (`room_id`) REFERENCES `rooms`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `updates_by_room` ON `updates` (`room_id`);