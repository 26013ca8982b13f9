import { z } from 'zod'
import { ROLES } from '@/lib/core/role'
import type { SessionAnswer } from './sync-snapshot'

const answerSchema = z.object({
  session: z
    .object({ personId: z.string(), name: z.string(), role: z.enum(ROLES), deviceId: z.string() })
    .nullable(),
})

/** ms; longer than a slow pit network takes, shorter than a person waits. */
const PATIENCE = 4000

/** Who does the server take us for? Anything but a proper answer counts as not reached: nobody is thrown out by a captive portal. */
export async function askSession(): Promise<SessionAnswer> {
  try {
    const response = await fetch('/api/session', { cache: 'no-store', signal: AbortSignal.timeout(PATIENCE) })
    if (!response.ok) return { reached: false }
    const answer = answerSchema.safeParse(await response.json())
    return answer.success ? { reached: true, session: answer.data.session } : { reached: false }
  } catch {
    return { reached: false }
  }
}
