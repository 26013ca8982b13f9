import type { EnergyPart } from '@/lib/card'

/** Where the pack's energy goes over a lap: one bar, and its table. */
export function EnergyBar({
  parts,
  title = 'Where the energy goes',
}: {
  parts: readonly EnergyPart[]
  title?: string
}) {
  const total = parts.reduce((sum, p) => sum + p.watts, 0)
  return (
    <section aria-label={title}>
      <h3>{title}</h3>
      <div
        className="energy-bar"
        role="img"
        aria-label={parts.map((p) => `${p.label} ${percent(p.share)}`).join(', ')}
      >
        {parts.map((p) => (
          <span
            key={p.label}
            title={`${p.label}, ${percent(p.share)}`}
            style={{ flexGrow: Math.max(0, p.share) }}
          />
        ))}
      </div>
      <div className="table-scroll" tabIndex={0} role="region" aria-label={`${title}, table`}>
        <table className="data-table">
          <thead>
            <tr>
              <th scope="col">Goes into</th>
              <th scope="col" className="is-number">
                W, mean
              </th>
              <th scope="col" className="is-number">
                Share
              </th>
            </tr>
          </thead>
          <tbody>
            {parts.map((p) => (
              <tr key={p.label}>
                <th scope="row">{p.label}</th>
                <td className="is-number">{p.watts.toFixed(1)}</td>
                <td className="is-number">{percent(p.share)}</td>
              </tr>
            ))}
            <tr>
              <th scope="row">From the pack</th>
              <td className="is-number">{total.toFixed(1)}</td>
              <td className="is-number">100 %</td>
            </tr>
          </tbody>
        </table>
      </div>
    </section>
  )
}

const percent = (share: number): string => `${Math.round(100 * share)} %`
