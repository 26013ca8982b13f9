'use client'
import { useMemo } from 'react'
import { frozenGround, remarksOf, type RunInfo } from '@/lib/card'
import { remarkText } from '@/app/words/debrief-words'
import { useBoard, useDerived } from '@/app/sync'
import { TrackLate } from '@/app/card/track-late'
import { useWhatIfDesk } from '@/app/card/use-what-if-desk'

/** The lap as it was projected of what the car ran with, and where the driver felt something. */
export function TrackOfRun({ run }: { run: RunInfo }) {
  const view = useBoard()
  const desk = useWhatIfDesk()
  const ground = useDerived(frozenGround, run.runId)
  const remarks = remarksOf(view, run.runId)
  const said = useMemo(() => {
    const by = new Map<number, string>()
    for (const { said: s } of remarks)
      if (s.v.piece !== undefined)
        by.set(s.v.piece, [by.get(s.v.piece), remarkText(view, s.v)].filter(Boolean).join('; '))
    return by
  }, [remarks, view])
  if (!ground) return null
  return (
    <TrackLate
      basis={ground.basis}
      groundKey={ground.key}
      desk={desk}
      from="what the car ran with"
      size="small"
      said={said}
    />
  )
}
