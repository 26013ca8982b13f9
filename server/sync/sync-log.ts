/** The part of a structured logger that the sync uses. */
export interface SyncLog {
  info(fields: object, message: string): void
  warn(fields: object, message: string): void
  error(fields: object, message: string): void
}
