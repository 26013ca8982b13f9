'use client'
import { useState } from 'react'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { useDerived, useSession } from '@/app/sync'
import { Empty, LinkButton, Tabs } from '@/app/ui'
import type { Board } from '@/lib/derived'
import { ClassStandings } from './class-standings'
import './standings.css'

/** Where everybody stands, class by class. */
export function StandingsScreen() {
  const { personId } = useSession()
  const classes = useDerived((board) =>
    board.classes.live.map((c) => ({ id: c.id, name: c.name ?? 'Class' })),
  )
  const mine = useDerived((board) => classOf(board, personId))
  const meeting = useDerived((board) => board.meeting.get('meeting')?.name ?? 'Meeting')
  const meetingId = useMeetingId()
  const [chosen, setChosen] = useState<string | null>(null)
  const shown = classes.find((c) => c.id === chosen) ?? classes.find((c) => c.id === mine) ?? classes[0]
  if (!shown)
    return (
      <div className="page page-narrow">
        <Empty
          title="No classes yet"
          level={1}
          acts={<LinkButton href={`/board/${meetingId}/setup`}>Set up the meeting</LinkButton>}
        >
          <p>Standings follow the classes of the meeting, their rules and everybody’s results.</p>
        </Empty>
      </div>
    )
  return (
    <div className="page standings-page">
      <header className="page-head">
        <h1>Standings</h1>
        <p className="print-only">
          {meeting}, {shown.name}
        </p>
      </header>
      {classes.length === 1 ? (
        <ClassStandings classId={shown.id} className={shown.name} />
      ) : (
        <Tabs
          label="Classes"
          selected={shown.id}
          onSelect={setChosen}
          tabs={classes.map((c) => ({
            id: c.id,
            label: c.name,
            content: <ClassStandings classId={c.id} className={c.name} />,
          }))}
        />
      )}
    </div>
  )
}

/** The class that somebody drives in. */
function classOf(board: Board, personId: string): string | undefined {
  const cars = new Set(board.cars.live.filter((c) => c.driverId === personId).map((c) => c.id))
  const entry = cars.size > 0 && board.entries.live.find((e) => e.carId && cars.has(e.carId))
  return (entry && board.heats.get(entry.heatId)?.classId) || undefined
}
