import { durationText, timeText } from '@/app/ui'
import type { RaceDay } from '@/app/meeting/use-race-day'

const SHOWN = 6

/** What is on charge and what goes on next, soonest first. */
export function WallChargers({ day }: { day: RaceDay }) {
  const { view, now } = day
  const open = view.charges.live
    .filter((c) => !c.stoppedAt?.v && c.packId)
    .map((c) => ({
      charge: c,
      isOn: !!c.startedAt?.v,
      at: (c.startedAt?.v ? c.plannedEnd : c.plannedStart) ?? 0,
    }))
    .sort((a, b) => a.at - b.at)
  return (
    <section className="wall-chargers" aria-label="Chargers">
      <h2>Chargers</h2>
      {open.length === 0 ? (
        <p className="wall-quiet">Nothing on charge</p>
      ) : (
        <ul>
          {open.slice(0, SHOWN).map(({ charge, isOn, at }) => (
            <li key={charge.id} data-on={isOn ? '' : undefined}>
              <b className="num">{view.packs.get(charge.packId)?.label ?? '?'}</b>
              <span className="min-w-0">
                {isOn ? 'off' : 'on'} {at <= now ? 'now' : 'in '}
                {at > now && <span className="num">{durationText(at - now)}</span>}
                <small>
                  {view.chargers.get(charge.chargerId)?.label ?? 'Charger'} channel {charge.channel ?? '?'},{' '}
                  {timeText(at)}
                </small>
              </span>
            </li>
          ))}
        </ul>
      )}
    </section>
  )
}
