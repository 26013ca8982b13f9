'use client'
import { INPUTS, inputLabel, type InputSource, type Projection, type ProjectionInput } from '@/lib/card'
import { figureText, withUnit } from '@/lib/core/figure-text'
import { z90 } from '@/lib/setup-math'
import { Caution, Dialog, Link, Note, Unit } from '@/app/ui'
import { RuledTable } from '@/app/ui/ruled-table'
import { EnergyBar } from './energy-bar'

const SOURCES: Record<InputSource, string> = {
  card: 'the card',
  kit: 'the kit',
  run: 'the run’s pack',
  conditions: 'conditions',
  track: 'the track',
  rules: 'the class rules',
  assumed: 'assumed',
}

export interface ProjectionSheetProps {
  meetingId: string
  carId: string
  projection: Projection
  inputs: readonly ProjectionInput[]
  isStale: boolean
  onClose: () => void
}

const tidy = (x: number): string => figureText(Number(x.toPrecision(4)))

/** What one figure says, what it rests on, which inputs matter most, and what to measure to narrow it. */
export function ProjectionSheet({
  meetingId,
  carId,
  projection: p,
  inputs,
  isStale,
  onClose,
}: ProjectionSheetProps) {
  const byId = new Map(inputs.map((i) => [i.id, i]))
  const rests = p.rests.map((r) => ({
    ...r,
    input: byId.get(r.id),
    ...INPUTS[r.id],
    label: inputLabel(r.id, inputs),
  }))
  const top = rests.slice(0, 2)
  const rest = Math.round(100 * rests.slice(2).reduce((sum, r) => sum + r.share, 0))
  return (
    <Dialog
      title={p.label}
      isOpen
      onOpenChange={(open) => !open && onClose()}
      tone={p.alarm ? 'hot' : 'plain'}
    >
      <p className="projection-big">
        <b className="num">{p.text}</b>
        <Unit of={p.unit} />
        {p.plusMinusText && <span className="spread num"> ±{p.plusMinusText}</span>}
      </p>
      {isStale && <Note tone="hot">From an earlier state of this card.</Note>}
      {p.detail && <p>{p.detail}</p>}
      {p.plusMinusText && (
        <p className="small">
          Projected, not measured. In nine runs out of ten it should be within ±
          {withUnit(p.plusMinusText, p.unit)}, if the inputs below are as good as stated.
        </p>
      )}
      {p.taught && (
        <p className="small">
          Rests on {p.taught.runs === 1 ? '1 run' : `${p.taught.runs} runs`} of this car. Before{' '}
          {p.taught.runs === 1 ? 'it' : 'them'} the ± was {withUnit(tidy(p.taught.before), p.unit)}.{' '}
          <Link href={`/board/${meetingId}/learned/${carId}`}>What the runs taught</Link>
        </p>
      )}
      {p.parts && <EnergyBar parts={p.parts} />}
      {top.length > 0 && (
        <section aria-label="What matters most">
          <h3>What matters most</h3>
          <ol className="list-decimal pl-6">
            {top.map((r) => (
              <li key={r.id} className="py-1">
                <b>{r.label}</b>, {Math.round(r.share * 100)}% of the uncertainty. {r.measure}
              </li>
            ))}
          </ol>
          {rest > 0 && <p className="small">Everything else together: {rest}%.</p>}
        </section>
      )}
      {rests.length > 0 && (
        <section aria-label="Inputs">
          <h3>Based on</h3>
          <RuledTable
            label="Inputs of this projection"
            head={['Input', { figures: 'Value' }, { figures: '±' }, 'From', { figures: 'Share' }]}
          >
            <tbody>
              {rests.map((r) => (
                <tr key={r.id}>
                  <th scope="row">{r.label}</th>
                  <td className="is-number">{r.input ? withUnit(tidy(r.input.value), r.unit) : '–'}</td>
                  <td className="is-number">{r.input ? tidy(z90 * r.input.sd) : '–'}</td>
                  <td>{r.input ? SOURCES[r.input.source] : ''}</td>
                  <td className="is-number">{Math.round(r.share * 100)}%</td>
                </tr>
              ))}
            </tbody>
          </RuledTable>
          <p className="small">
            “Assumed” is common practice; nobody measured it on this car. Each ± is half of a 90% interval.
          </p>
          {rests.some((r) => r.id === 'airC' || r.id === 'grip') && (
            <p className="small">
              Air temperature and grip of the day:{' '}
              <Link href={`/board/${meetingId}/track#conditions`}>Conditions</Link>
            </p>
          )}
        </section>
      )}
      {p.caution && <Caution kind={p.caution} />}
    </Dialog>
  )
}
