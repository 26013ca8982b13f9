'use client'
import { useBoard, useDerived, useEditContext, useSettle } from '@/app/sync'
import { canWrite, planRunAgain, usualChargeRules } from '@/lib/board'
import { chargeRulesOf, PIT_RULES, runsNow, carInHeat } from '@/lib/card'
import type { Result } from '@/lib/core/result'
import { Button, Ticket, TicketHead } from '@/app/ui'

/** What this day's plan departs from, because somebody took a way out: said as long as it holds, and taken back with one tap. */
export function PlanExceptions({ onChanged }: { onChanged: () => void }) {
  const view = useBoard()
  const all = useDerived(runsNow)
  const ctx = useEditContext()
  const settleEdit = useSettle()
  const rules = chargeRulesOf(view)
  const words = [
    rules.handsPerStep !== PIT_RULES.handsPerStep &&
      `${rules.handsPerStep ?? '?'} packs put on charge within five minutes, normally ${PIT_RULES.handsPerStep ?? '?'}`,
    rules.coolDownSeconds !== PIT_RULES.coolDownSeconds &&
      `packs cool for ${(rules.coolDownSeconds / 60).toFixed(1)} min before a charge, normally ${PIT_RULES.coolDownSeconds / 60}`,
    rules.maxHeldSeconds !== PIT_RULES.maxHeldSeconds &&
      `packs sit full for up to ${(rules.maxHeldSeconds / 3600).toFixed(1)} h, normally ${PIT_RULES.maxHeldSeconds / 3600}`,
  ].filter((w) => w !== false)
  const runs = all.filter(
    (r) => (r.state === 'upcoming' || r.state === 'called') && (r.run?.leftOut || r.run?.chargeShare != null),
  )
  if (words.length === 0 && runs.length === 0) return null
  const may = canWrite(ctx, 'meeting', 'runs', 'any', 'leftOut')
  const settle = (done: Result<unknown>, said: string) => {
    if (settleEdit(done, said)) onChanged()
  }
  return (
    <Ticket label="What is different today">
      <TicketHead title="Different today" sub="set when a way out was applied" />
      <ul className="ruled">
        {words.length > 0 && (
          <li className="way-out">
            <span className="min-w-0">{words.join('; ')}</span>
            <Button
              isDisabled={!may}
              onPress={() => settle(usualChargeRules(ctx), 'Charging is back to normal')}
            >
              Back to normal
            </Button>
          </li>
        )}
        {runs.map((r) => (
          <li key={r.runId} className="way-out">
            <span className="min-w-0">
              {carInHeat(r)}:{' '}
              {r.run?.leftOut
                ? 'left out of the charge plan'
                : `planned on ${Math.round((r.run?.chargeShare ?? 1) * 100)}% of a charge`}
            </span>
            <Button
              isDisabled={!may}
              aria-label={`Plan ${carInHeat(r)} as normal again`}
              onPress={() => settle(planRunAgain(ctx, { runId: r.runId }), `${r.carName} is planned again`)}
            >
              Back to normal
            </Button>
          </li>
        ))}
      </ul>
    </Ticket>
  )
}
