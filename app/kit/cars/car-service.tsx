'use client'
import { signService } from '@/lib/board'
import { serviceOf, type ServiceState } from '@/lib/card'
import { figureText } from '@/lib/core/figure-text'
import { useAct, useBoard, useMay, useNow } from '@/app/sync'
import { agoText, Button, Link, Ticket, TicketBody, TicketHead } from '@/app/ui'
import { nameOf } from '@/app/record/ref-options'

/** What a car's parts need, the most due first, each with one tap once it is done. */
export function CarService({ carId }: { carId: string }) {
  const view = useBoard()
  const may = useMay('kit', 'serviceDone', 'new', 'done')
  const car = view.cars.get(carId)
  if (!car) return null
  const states = serviceOf(view, car)
  const due = states.filter((s) => s.used >= 1).length
  return (
    <Ticket id="service" tone={due ? 'hot' : 'plain'}>
      <TicketHead
        title="Service"
        sub={`${car.runs ?? 0} runs, ${figureText((car.runMinutes ?? 0) / 60, { digits: 1 })} h run so far`}
        stub={
          <>
            <span className="num">{due}</span>
            <small>due</small>
          </>
        }
      />
      <ul className="kit-rows" aria-label="Service">
        {states.map((s) => (
          <ServiceRow key={s.rule.id} state={s} carId={carId} may={may} />
        ))}
      </ul>
      <TicketBody>
        {states.length === 0 && <p>No service rules for this car yet.</p>}
        {!may && <p className="small">A manager or a mechanic can sign a service.</p>}
        <p className="small">
          Each heat’s finish counts a run and its time, unless the car did not start. The counts are on the
          car’s page, and can be corrected there. <Link href="/kit/service">Service rules</Link> are yours to
          change; the makers’ instructions come first.
        </p>
      </TicketBody>
    </Ticket>
  )
}

function ServiceRow({ state, carId, may }: { state: ServiceState; carId: string; may: boolean }) {
  const act = useAct()
  const now = useNow(60_000)
  const view = useBoard()
  const { rule, last, used, isBehind } = state
  return (
    <li className="kit-row">
      <span className="kit-row-name">
        {rule.name}
        {used >= 1 && (
          <>
            {' '}
            <span className="state-word" data-tone="hot">
              due
            </span>
          </>
        )}
        <small>
          {countWords(state)}
          {rule.isCommonPractice && ', common practice, no source'}
        </small>
        {isBehind && (
          <small>
            The car’s count is less than when it was last done: correct it, or sign the service again.
          </small>
        )}
        <small>
          {last?.done
            ? `last done by ${view.people.get(last.done.by)?.name ?? 'somebody'}, ${agoText(last.done.at, now)}`
            : 'not done yet since the count began'}
        </small>
      </span>
      <Button
        look={used >= 1 ? 'do' : 'plain'}
        isDisabled={!may}
        aria-label={`${rule.name ?? 'Service'}: done today`}
        onPress={() =>
          act(
            (ctx, v) => signService(ctx, v, { carId, serviceRuleId: rule.id }),
            `${nameOf(view.cars.get(carId))}: ${rule.name ?? 'service'} done`,
          )
        }
      >
        Done today
      </Button>
    </li>
  )
}

/** `18 of 20 runs, 1.4 of 5 h` */
function countWords({ rule, runs, hours }: ServiceState): string {
  const parts = [
    rule.afterRuns !== undefined && `${runs} of ${rule.afterRuns} runs`,
    rule.afterHours !== undefined &&
      `${figureText(hours, { digits: 1 })} of ${figureText(rule.afterHours, { unit: 'h' })}`,
  ].filter(Boolean)
  return parts.length ? parts.join(', ') : 'no interval set'
}
