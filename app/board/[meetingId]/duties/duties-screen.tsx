'use client'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { useBoard, useDerived, useSession } from '@/app/sync'
import { useState } from 'react'
import { dutiesNow } from '@/lib/card'
import { compareNames } from '@/lib/core/compare-names'
import { HelpNote, LinkButton, SelectField } from '@/app/ui'
import '@/app/meeting/order.css'
import { CalendarPart } from './calendar-part'
import { CrewLoadPart } from './crew-load-part'
import { JobsPart } from './jobs-part'
import { MarshalPart } from './marshal-part'
import { PersonDay } from './person-day'
import './duties.css'

/** Who does what and when: one person's list, marshal duty, jobs, and whose hands are asked for twice. */
export function DutiesScreen() {
  const view = useBoard()
  const me = useSession()
  const meetingId = useMeetingId()
  const [chosen, setChosen] = useState<string | null>(null)
  const duties = useDerived(dutiesNow)
  const people = [...view.people.live]
    .filter((p) => p.role !== 'guest')
    .sort((a, b) => compareNames(a.name, b.name))
  const personId = chosen ?? me.personId
  const options = people.map((p) => ({
    id: p.id,
    label: p.id === me.personId ? `${p.name ?? 'You'} (you)` : (p.name ?? 'somebody'),
  }))
  return (
    <div className="page">
      <header className="page-head">
        <h1>Duties</h1>
        <div className="btn-row no-print">
          <LinkButton href={`/board/${meetingId}/day-sheet`}>Day sheet to print</LinkButton>
          <HelpNote about="Where this list comes from">
            Runs and calls follow the expected times. Marshal duty follows the meeting’s rule or the table
            below. Charges come from the charge plan, jobs from this screen. The organizer’s officials have
            the last word on who marshals.
          </HelpNote>
        </div>
      </header>
      <div className="split">
        <div className="grid gap-4 min-w-0">
          <div className="no-print">
            <SelectField
              label="Whose day"
              options={options}
              value={options.some((o) => o.id === personId) ? personId : null}
              onChange={setChosen}
            />
          </div>
          <PersonDay duties={duties} personId={personId} />
          <JobsPart />
          <CalendarPart key={personId} personId={personId} />
        </div>
        <div className="grid gap-4 min-w-0">
          <MarshalPart duties={duties} />
          <CrewLoadPart duties={duties} />
        </div>
      </div>
    </div>
  )
}
