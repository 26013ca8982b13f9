'use client'
import type { RunEnd } from '@/lib/board'
import { inputLabel, type Beside, type ProjectionInput } from '@/lib/card'
import { figureText, withUnit } from '@/lib/core/figure-text'
import { ThreadNote } from '@/app/threads/thread-note'
import { Note, Ticket, TicketHead, Unit } from '@/app/ui'
import { RuledTable } from '@/app/ui/ruled-table'
import type { PartProps } from './part-props'
import { useFrozenProjections } from './use-frozen-projections'

/** Beyond this many half widths the model and the reading contradict each other. */
const FAR = 2

const STOPPED: Record<RunEnd, string> = {
  'did-not-start': 'The car did not start: there is nothing to compare.',
  'did-not-finish':
    'The car did not finish: its temperature and its charge can’t be compared with a whole race, and projections learn nothing from them.',
}

/** Projected and measured, side by side, on what the car really ran with. */
export function ProjectedPart({ run }: PartProps) {
  const { rows, inputs, problem, isRough, retry } = useFrozenProjections({ run })
  const ended = run.run?.result?.v?.ended
  return (
    <Ticket id="projected" label="Projected and measured">
      <TicketHead
        title="Projected and measured"
        sub={
          problem === null && isRough
            ? 'working out the ±'
            : 'projected from what the car ran with, not measured'
        }
      />
      {problem !== null && (retry ? <ThreadNote why={problem} retry={retry} /> : <Note>{problem}</Note>)}
      {problem === null && ended && <p className="ticket-body small">{STOPPED[ended]}</p>}
      {problem === null && !ended && rows.length === 0 && (
        <p className="ticket-body small">
          {isRough
            ? 'Projecting …'
            : 'Nothing measured yet that was projected. Enter a temperature, the result or the charge.'}
        </p>
      )}
      {rows.length > 0 && (
        <RuledTable
          label="Projected and measured figures"
          className="beside"
          head={['Figure', { figures: 'Projected' }, { figures: 'Measured' }]}
        >
          <tbody>
            {rows.map((r) => (
              <BesideRow key={r.id} row={r} inputs={inputs} />
            ))}
          </tbody>
        </RuledTable>
      )}
    </Ticket>
  )
}

function BesideRow({ row: r, inputs }: { row: Beside; inputs: readonly ProjectionInput[] }) {
  const show = (x: number) => figureText(x, { digits: r.digits })
  const half = r.plusMinus > 0 ? show(Math.max(r.plusMinus, 0.5 * 10 ** -r.digits)) : ''
  return (
    <>
      <tr>
        <th scope="row">
          {r.label}
          <span className="small block">{r.note}</span>
        </th>
        <td className="is-number">
          <span className="num">{show(r.projected)}</span>
          <Unit of={r.unit} />
          {half && <span className="spread num block">±{half}</span>}
        </td>
        <td className="is-number">
          <b className="num">{show(r.measured)}</b>
          <Unit of={r.unit} />
        </td>
      </tr>
      <tr>
        <td colSpan={3}>
          <DifferenceBar row={r} /> <DifferenceWords row={r} inputs={inputs} />
        </td>
      </tr>
    </>
  )
}

function DifferenceWords({ row: r, inputs }: { row: Beside; inputs: readonly ProjectionInput[] }) {
  // Between the figures as they stand there: nobody should find another difference by hand.
  const asShown = (x: number) => Number(x.toFixed(r.digits))
  const apart = Math.abs(asShown(r.measured) - asShown(r.projected))
  const size = withUnit(figureText(apart, { digits: r.digits }), r.unit)
  const which = r.difference >= 0 ? 'above' : 'below'
  if (r.times === null) return <span className="small">{`${size} ${which} the projection.`}</span>
  if (r.times <= 1) return <span className="small">{`${size} ${which}, within the ±.`}</span>
  const top = r.rests.slice(0, 2).map((x) => inputLabel(x.id, inputs).toLowerCase())
  return (
    <span className="small">
      <b>
        {size} {which}, {figureText(r.times, { digits: 1 })} times the ±.
      </b>{' '}
      {r.times > FAR
        ? 'The reading and the model contradict each other: check the reading first.'
        : 'Rare, but it happens in one run out of ten.'}{' '}
      {top.length > 0 && `The projection depends most on ${top.join(' and ')}.`}
    </span>
  )
}

/** Where the reading lies in the ±: the box is the interval, the stroke in it the projection, the mark the reading. */
function DifferenceBar({ row: r }: { row: Beside }) {
  if (r.times === null) return null
  const at = Math.max(-3, Math.min(3, r.difference / r.plusMinus))
  return (
    <svg className="difference-bar" viewBox="-3.2 -1 6.4 2" aria-hidden="true">
      <path d="M-3.2 0H3.2" stroke="var(--rule)" strokeWidth="0.12" />
      <rect
        x="-1"
        y="-0.6"
        width="2"
        height="1.2"
        fill="var(--wash)"
        stroke="currentColor"
        strokeWidth="0.1"
      />
      <path d="M0 -0.6V0.6" stroke="currentColor" strokeWidth="0.1" />
      <path
        d={`M${at} -0.85L${at + 0.28} 0L${at} 0.85L${at - 0.28} 0Z`}
        fill={Math.abs(at) > 1 ? 'var(--hot)' : 'currentColor'}
      />
    </svg>
  )
}
