import { RuledTable } from '@/app/ui/ruled-table'
import type { EnergyPart } from '@/lib/card'
import { figureText } from '@/lib/core/figure-text'

/** Where the pack's energy goes over a lap: a bar, and its table; today's beside it where there is a trial. */
export function EnergyBar({
  parts,
  today,
  title = 'Where the energy goes',
}: {
  parts: readonly EnergyPart[]
  /** The same of today, to be compared. */
  today?: readonly EnergyPart[]
  title?: string
}) {
  const labels = [...new Set([...parts, ...(today ?? [])].map((p) => p.label))]
  const sides = today
    ? [
        { name: 'Today', parts: today },
        { name: 'Trial', parts },
      ]
    : [{ name: '', parts }]
  return (
    <section aria-label={title} className="min-w-0">
      <h3>{title}</h3>
      {sides.map((s) => (
        <div key={s.name} className="energy-side">
          {s.name && <span className="small">{s.name}</span>}
          <div
            className="energy-bar"
            role="img"
            aria-label={`${s.name ? `${s.name}: ` : ''}${s.parts.map((p) => `${p.label} ${percent(p.share)}`).join(', ')}`}
          >
            {labels.map((label, i) => {
              const p = s.parts.find((x) => x.label === label)
              return (
                p && (
                  <span
                    key={label}
                    className="energy-part"
                    data-part={i % PARTS}
                    title={`${p.label}, ${percent(p.share)}`}
                    style={{ flexGrow: Math.max(0, p.share) }}
                  />
                )
              )
            })}
          </div>
        </div>
      ))}
      <RuledTable
        label={`${title}, table`}
        head={[
          'Goes into',
          ...sides.flatMap((s) => [
            { figures: s.name ? `${s.name}, W` : 'W, mean' },
            { figures: s.name ? `${s.name}, share` : 'Share' },
          ]),
        ]}
      >
        <tbody>
          {labels.map((label, i) => (
            <tr key={label}>
              <th scope="row">
                <span aria-hidden="true" className="energy-part energy-key" data-part={i % PARTS} /> {label}
              </th>
              {sides.flatMap((s) => {
                const p = s.parts.find((x) => x.label === label)
                return [
                  <td key={`${s.name}w`} className="is-number">
                    {p ? watts(p.watts) : '–'}
                  </td>,
                  <td key={`${s.name}s`} className="is-number">
                    {p ? percent(p.share) : '–'}
                  </td>,
                ]
              })}
            </tr>
          ))}
          <tr>
            <th scope="row">From the pack</th>
            {sides.flatMap((s) => [
              <td key={`${s.name}w`} className="is-number">
                {watts(s.parts.reduce((sum, p) => sum + p.watts, 0))}
              </td>,
              <td key={`${s.name}s`} className="is-number">
                {percent(1)}
              </td>,
            ])}
          </tr>
        </tbody>
      </RuledTable>
    </section>
  )
}

/** So many kinds of color and hatch there are. */
const PARTS = 6
const watts = (w: number): string => figureText(w, { digits: 1 })
const percent = (share: number): string => `${figureText(100 * share, { digits: 0 })}%`
