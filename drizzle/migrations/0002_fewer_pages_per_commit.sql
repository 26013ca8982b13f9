PRAGMA foreign_keys=OFF;--> statement-breakpoint
CREATE TABLE `__new_audit` (
	`seq` integer PRIMARY KEY NOT NULL,
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
INSERT INTO `__new_audit`("seq", "room_id", "at", "person_id", "device_id", "collection", "record_id", "field", "before", "after", "outcome", "checksum") SELECT "seq", "room_id", "at", "person_id", "device_id", "collection", "record_id", "field", "before", "after", "outcome", "checksum" FROM `audit`;--> statement-breakpoint
DROP TABLE `audit`;--> statement-breakpoint
ALTER TABLE `__new_audit` RENAME TO `audit`;--> statement-breakpoint
PRAGMA foreign_keys=ON;--> statement-breakpoint
CREATE INDEX `audit_by_record` ON `audit` (`room_id`,`record_id`);--> statement-breakpoint
CREATE TABLE `__new_updates` (
	`seq` integer PRIMARY KEY NOT NULL,
	`room_id` integer NOT NULL,
	`at` integer NOT NULL,
	`data` blob NOT NULL,
	`checksum` integer NOT NULL,
	FOREIGN KEY (`room_id`) REFERENCES `rooms`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
INSERT INTO `__new_updates`("seq", "room_id", "at", "data", "checksum") SELECT "seq", "room_id", "at", "data", "checksum" FROM `updates`;--> statement-breakpoint
DROP TABLE `updates`;--> statement-breakpoint
ALTER TABLE `__new_updates` RENAME TO `updates`;--> statement-breakpoint
CREATE INDEX `updates_by_room` ON `updates` (`room_id`);