'use client'
import { useRouter } from 'next/navigation'
import { useEffect, useMemo } from 'react'
import { ShownBoard, useDerived, useSyncPart, useUndo } from '@/app/sync'
import { useCommands, type Command } from '@/app/ui/command-context'
import { isTyping } from '@/app/ui/is-typing'
import { NEW_MEETING, placesFor } from '@/app/ui/navigation'
import { setNight } from './theme-switch'
import { NIGHT_WORDS, NIGHTS } from './theme'
import { useCurrentMeeting } from './use-current-meeting'

/** What the keyboard can do everywhere: every place, every car, undo, the paper. */
export function PlaceCommands() {
  return (
    <ShownBoard>
      <MemberCommands />
    </ShownBoard>
  )
}

function MemberCommands() {
  const router = useRouter()
  const undo = useUndo()
  const meetingId = useCurrentMeeting()
  const role = useSyncPart((s) => (s.membership.state === 'member' ? s.membership.session.role : 'guest'))
  const cars = useDerived((board) => board.cars.live)
  const meetings = useDerived((board) => board.meetings.live)

  const commands = useMemo(() => {
    const go = (href: string) => () => router.push(href)
    const list: Command[] = placesFor(role)
      .filter((p) => meetingId !== null || !p.needsMeeting)
      .map((p) => ({
        id: `go-${p.id}`,
        group: 'Go to',
        label: p.label,
        detail: p.about,
        run: go(p.href(meetingId ?? '')),
      }))
    if (meetingId !== null)
      for (const car of cars)
        list.push({
          id: `card-${car.id}`,
          group: 'Cards',
          label: car.name ?? 'unnamed car',
          detail: car.carNumber ? `car ${car.carNumber}` : undefined,
          run: go(`/board/${meetingId}/card/${car.id}`),
        })
    for (const m of meetings)
      if (m.id !== meetingId)
        list.push({
          id: `meeting-${m.id}`,
          group: 'Meetings',
          label: m.name ?? 'unnamed meeting',
          run: go(`/board/${m.id}`),
        })
    list.push({
      id: 'undo',
      group: 'Act',
      label: 'Undo',
      detail: 'Ctrl Z',
      words: 'revert',
      run: undo,
    })
    if (role === 'manager')
      list.push({ id: 'new-meeting', group: 'Act', label: 'New meeting', run: go(NEW_MEETING) })
    for (const n of NIGHTS)
      list.push({
        id: `paper-${n}`,
        group: 'Screen',
        label: NIGHT_WORDS[n],
        words: 'theme dark light',
        run: () => setNight(n),
      })
    list.push({ id: 'print', group: 'Paper', label: 'Print this page', run: () => window.print() })
    return list
  }, [role, meetingId, cars, meetings, router, undo])
  useCommands(commands)

  useEffect(() => {
    const onKey = (e: KeyboardEvent) => {
      if (
        !(e.ctrlKey || e.metaKey) ||
        e.shiftKey ||
        e.altKey ||
        e.key.toLowerCase() !== 'z' ||
        isTyping(e.target)
      )
        return
      e.preventDefault()
      undo()
    }
    window.addEventListener('keydown', onKey)
    return () => window.removeEventListener('keydown', onKey)
  }, [undo])
  return null
}
