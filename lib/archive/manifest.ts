import { z } from 'zod'
import { isIdText } from '../core/id'
import { ok, refuse, type Result } from '../core/result'

/** Raised when what an archive holds can no longer be read by an earlier version. */
export const ARCHIVE_FORMAT = 1

export const scopeSchema = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('team') }),
  z.strictObject({ kind: z.literal('meeting'), meetingId: z.string().refine(isIdText, 'is not an id') }),
])
/** The whole team with all its meetings, or one meeting with the whole kit but its other meetings. */
export type ArchiveScope = z.infer<typeof scopeSchema>

const partSchema = z.strictObject({ bytes: z.int().min(0), sha256: z.string().regex(/^[0-9a-f]{64}$/) })

/** What an archive says of itself. It is its last part, and names every other one. */
export const manifestSchema = z.strictObject({
  format: z.literal(ARCHIVE_FORMAT),
  createdAt: z.iso.datetime(),
  scope: scopeSchema,
  /** Digest of the collections and fields of the version that made it. */
  schema: z.string().max(64),
  /** What could not be taken along, in words. */
  notes: z.array(z.string().max(400)).max(200),
  parts: z.record(z.string(), partSchema),
})
export type ArchiveManifest = z.infer<typeof manifestSchema>

const damaged = (what: string) =>
  refuse('Archive', '', `its manifest ${what}`, 'Make the archive again, or take another copy of it.')

/** A manifest's text. */
export function readManifest(text: string): Result<ArchiveManifest> {
  let json: unknown
  try {
    json = JSON.parse(text)
  } catch {
    return damaged('is not JSON')
  }
  const format: unknown =
    typeof json === 'object' && json !== null && 'format' in json ? json.format : undefined
  if (typeof format === 'number' && Number.isInteger(format) && format > ARCHIVE_FORMAT)
    return refuse(
      'Archive',
      `format ${format}`,
      `a newer version made it; this one reads format ${ARCHIVE_FORMAT}`,
      'Update this server, then bring the archive in again.',
    )
  const parsed = manifestSchema.safeParse(json)
  if (parsed.success) return ok(parsed.data)
  const issue = parsed.error.issues[0]
  return damaged(
    `is not as it should be (${issue?.path.join('.') || 'shape'}: ${issue?.message ?? 'does not fit'})`,
  )
}
