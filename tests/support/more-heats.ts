import { runEdit, type BoardView, type EditContext } from '@/lib/board'
import { heatsInOrder } from '@/lib/card'
import { ok } from '@/lib/core/result'
import { must } from './must'

const MINUTE_MS = 60_000

/** The day goes on a minute apart, without the team, until it has so many heats and breaks. */
export function addHeatsUpTo(count: number, ctx: EditContext, view: BoardView): void {
  const own = heatsInOrder(view)
  const last = own.at(-1)?.plannedStart ?? ctx.clock.now()
  for (let n = own.length; n < count; n++)
    must(
      runEdit(ctx, 'heat', (w) => {
        w.meeting('heats', `more-${n}`, {
          number: n + 1,
          order: 10_000 + n,
          plannedStart: last + (n - own.length + 1) * MINUTE_MS,
        })
        return ok(undefined)
      }),
    )
}
