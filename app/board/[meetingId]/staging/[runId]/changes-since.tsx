import { useNameOf } from '@/app/sync'
import type { changesSinceLastRun } from '@/lib/card'
import { settingText } from '@/lib/core/setting-text'
import { timeText } from '@/app/ui'

/** What was promised that the car did not have in its last run, and whether it is in the car. */
export function ChangesSince({ since }: { since: ReturnType<typeof changesSinceLastRun> }) {
  const nameOf = useNameOf()
  if (!since.since)
    return <p className="ticket-body small">No earlier run at this meeting to compare with.</p>
  if (since.changes.length === 0) return <p className="ticket-body">Nothing has changed.</p>
  return (
    <ul className="ruled" aria-label="Changes since the last run">
      {since.changes.map((c) => (
        <li
          key={c.parameterId}
          className="change-row"
          data-done={c.done ? '' : undefined}
          data-change={c.parameterId}
        >
          <div className="min-w-0">
            <b>{c.label}</b>
            <div className="small">
              {c.done ? 'in the car' : 'not in the car yet'}
              {c.by && ` · ${nameOf(c.by)}${c.at ? ` ${timeText(c.at)}` : ''}`}
              {c.why && ` · “${c.why}”`}
            </div>
          </div>
          <div className="num change-values">
            <s>{settingText(c.was)}</s> <b>{settingText(c.now, c.unit)}</b>
          </div>
        </li>
      ))}
    </ul>
  )
}
