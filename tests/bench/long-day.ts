import { DEMO_MEETING_ID } from '@/demo/seed'
import { BoardReading, runEdit } from '@/lib/board'
import { ok } from '@/lib/core/result'
import { addCopiesOfCars } from '../support/more-cars'
import { addHeatsUpTo } from '../support/more-heats'
import { stockClient } from '../support/read-board'
import type { ServerProcess } from '../support/server-process'

/** The demo's meeting with so many heats and the team's cars three times over (24), and the device of a manager who edits it. */
export async function longDay(server: ServerProcess, heats: number) {
  const petra = await server.join('manager', { personId: 'petra-amsel' })
  const kit = stockClient(server, petra, 'kit')
  const meeting = stockClient(server, petra, `meeting-${DEMO_MEETING_ID}`)
  await Promise.all([kit.synced, meeting.synced])
  const docs = { kit: kit.doc, meeting: meeting.doc }
  const reading = new BoardReading(docs)
  const ctx = {
    docs,
    actor: { personId: petra.personId, role: petra.role },
    clock: { now: () => Date.now() },
  }
  addCopiesOfCars(ctx, 2)
  addHeatsUpTo(heats, ctx, reading.view())
  return {
    docs,
    reading,
    /** One edit. @throws where the board refuses it. */
    write: (what: string, how: (w: Parameters<Parameters<typeof runEdit>[2]>[0]) => void) => {
      const made = runEdit(ctx, what, (w) => {
        how(w)
        return ok(undefined)
      })
      if (!made.ok) throw new Error(JSON.stringify(made.error))
    },
    close: () => {
      reading.close()
      kit.close()
      meeting.close()
    },
  }
}
