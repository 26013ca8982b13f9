/** What stands in every archive for whoever opens it without a board. */
export const ABOUT = `This is an archive of a race-day board: one zip that holds all of a team or of one meeting.

boards/      each board as JSON: collection, record, field
lists/       the same as CSV (RFC 4180, UTF-8), one file for each list; lists/columns.csv says what each column means
audit/       who changed what and when, one line of JSON for each change, oldest first (times in ms since 1970-01-01 UTC)
photos/      each photo under the SHA-256 of its bytes, and which run it belongs to
documents/   each board as a Yjs document (one update, v1 encoding): this is what another server reads
manifest.json  format, time, size and SHA-256 of every part

Another server takes it in under Files, or with: npm run admin -- import FILE
It holds no invitations, no sessions and no passwords: phones join again.
Changing anything in it breaks its seal (the zip’s comment holds the SHA-256 of all bytes before it).
`
