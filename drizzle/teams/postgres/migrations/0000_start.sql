CREATE TABLE "operator_codes" (
	"code_hash" text PRIMARY KEY NOT NULL,
	"created_at" bigint NOT NULL,
	"expires_at" bigint NOT NULL,
	"used_at" bigint,
	"checksum" bigint NOT NULL
);
--> statement-breakpoint
CREATE TABLE "teams" (
	"address" text PRIMARY KEY NOT NULL,
	"name" text NOT NULL,
	"created_at" bigint NOT NULL,
	"archived_at" bigint,
	"checksum" bigint NOT NULL
);
--> statement-breakpoint
CREATE TABLE "writers" (
	"owner" text PRIMARY KEY NOT NULL,
	"head" bigint NOT NULL,
	"at" bigint NOT NULL
);
