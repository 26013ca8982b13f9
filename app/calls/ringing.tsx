'use client'
import { useEffect, useRef } from 'react'
import { dueCalls, dutiesNow, looseEndsNow, myJobs, heatOfRun } from '@/lib/card'
import { useBoard, useDerived, useSession } from '@/app/sync'
import { useToasts } from '@/app/ui/toasts'
import type { CallsWatchProps } from './calls-watch'
import { ring } from './ring'
import { setBadge } from './set-badge'

const TOLD_KEY = 'stagecall_told'

function readTold(): Set<string> {
  try {
    return new Set(JSON.parse(sessionStorage.getItem(TOLD_KEY) ?? '[]') as string[])
  } catch {
    return new Set()
  }
}
function writeTold(told: ReadonlySet<string>): void {
  try {
    sessionStorage.setItem(TOLD_KEY, JSON.stringify([...told].slice(-200)))
  } catch {
    // Then a reload may tell once more.
  }
}

/** What `CallsWatch` is on a phone that rings. */
export default function Ringing({ runs, now, isMyRun }: CallsWatchProps) {
  const view = useBoard()
  const me = useSession()
  const ends = useDerived(looseEndsNow)
  const duties = useDerived(dutiesNow)
  const toasts = useToasts()
  const told = useRef<Set<string> | null>(null)
  const known = useRef<ReadonlySet<string> | null>(null)

  useEffect(() => {
    told.current ??= readTold()
    for (const { key, run, minutes } of dueCalls(runs.filter(isMyRun), now, told.current)) {
      told.current.add(key)
      writeTold(told.current)
      const text = `${run.carName} is called in ${minutes} min, ${heatOfRun(run)}`
      ring(text, minutes <= 2 ? 3 : minutes <= 5 ? 2 : 1, `call-${run.runId}`)
      toasts.say(text)
    }
  }, [runs, now, isMyRun, toasts])

  useEffect(() => {
    const jobs = myJobs(view, runs, me, now, ends, duties)
    setBadge(jobs.length)
    // What is anybody's of a role rings on nobody's phone.
    const own = jobs.filter(
      (j) => j.act.kind !== 'loose-end' || j.act.end.who.personIds.includes(me.personId),
    )
    const fresh = known.current && own.find((j) => !known.current?.has(j.id))
    known.current = new Set(own.map((j) => j.id))
    if (!fresh) return
    const text = `New for you: ${[fresh.car, fresh.what].filter(Boolean).join(', ')}`
    ring(text, 1, 'mine')
    toasts.say(text)
  }, [view, runs, me, now, ends, duties, toasts])

  // Turned off, the meeting left, or no member any more: the icon says nothing that nobody keeps up.
  useEffect(() => () => setBadge(0), [])
  return null
}
