'use client'
import { useBoard } from '@/app/sync'
import { Link, Ticket, TicketHead } from '@/app/ui'
import { KIT_SECTIONS, rowsOf, sectionHref } from './kit-sections'
import { nameOf } from '@/app/record/ref-options'

const SHOWN = 6

/** Everything that the team brings, list by list. */
export function KitScreen() {
  const view = useBoard()
  return (
    <Ticket>
      <TicketHead title="Kit" sub="What the team owns, for every meeting" level={1} />
      <ul className="kit-rows">
        {KIT_SECTIONS.map((s) => {
          const rows = rowsOf(view, s)
          const names = rows.slice(0, SHOWN).map(nameOf).join(', ')
          return (
            <li key={s.slug}>
              <Link href={sectionHref(s)} className="kit-row">
                <span className="kit-row-name kit-row-brief">
                  {s.label}
                  <small>
                    {rows.length === 0 ? s.about : rows.length > SHOWN ? `${names} and more` : names}
                  </small>
                </span>
                <span className="kit-row-side num">{rows.length}</span>
              </Link>
            </li>
          )
        })}
        <li>
          <Link href="/kit/labels" className="kit-row">
            <span className="kit-row-name kit-row-brief">
              Labels to print
              <small>for packs and tire sets, with a code that any phone’s camera opens</small>
            </span>
          </Link>
        </li>
      </ul>
    </Ticket>
  )
}
