'use client'
import { runsNow } from '@/lib/card'
import { figureText, withUnit } from '@/lib/core/figure-text'
import { thumbSuggestions, type ThumbSuggestion } from '@/lib/suggestions'
import { useBoard, useDerived } from '@/app/sync'
import { TicketSection } from '@/app/ui'
import { ProposeChange } from './propose-change'

/** What the team's rules of thumb answer to the driver's words of the last run; nothing where nothing was said. */
export function ThumbPart({ carId }: { carId: string }) {
  const view = useBoard()
  const runs = useDerived(runsNow)
  const found = thumbSuggestions(view, runs, carId)
  if (found.length === 0) return null
  return (
    <section aria-label="Rules of thumb">
      <TicketSection title="By your rules of thumb" aside={<small>after what the driver said</small>} />
      <ul className="ruled">
        {found.map((s) => (
          <OneRule key={s.rule.id} carId={carId} suggestion={s} />
        ))}
      </ul>
    </section>
  )
}

function OneRule({ carId, suggestion: s }: { carId: string; suggestion: ThumbSuggestion }) {
  const { change } = s
  const value = (x: number) => withUnit(figureText(x), change?.unit ?? '')
  return (
    <li className="ticket-body">
      <b>
        {s.word}: {s.rule.name}
      </b>
      <p className="small">
        {countText(s)}
        {s.rule.isCommonPractice ? ' Common practice, no source.' : ''}
      </p>
      {change && (
        <>
          <p className="num">
            {change.label} {value(change.from)} → {value(change.to)}
          </p>
          <ProposeChange carId={carId} change={change} why={`${s.word}: ${s.rule.name}. ${countText(s)}`} />
        </>
      )}
    </li>
  )
}

/** `Tried 3 times at this meeting, better 2 times (90%: 26 to 92%).` */
function countText({ tried, better, interval }: ThumbSuggestion): string {
  if (tried === 0 || !interval) return 'Not tried at this meeting yet.'
  const share = (x: number) => figureText(100 * x, { digits: 0 })
  return `Tried ${times(tried)} at this meeting, better ${times(better)} (90%: ${share(interval.low)} to ${share(interval.high)}%).`
}
const times = (n: number) => (n === 1 ? 'once' : n === 0 ? 'never' : `${n} times`)
