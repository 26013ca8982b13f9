CREATE TABLE `generations` (
	`id` integer PRIMARY KEY NOT NULL,
	`generation` text NOT NULL,
	`checksum` integer NOT NULL
);
