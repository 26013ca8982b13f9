import type { RunInfo } from '@/lib/card'
import type { RaceDay } from '@/app/meeting/use-race-day'

/** What every part of a debrief is given. */
export interface PartProps {
  day: RaceDay
  run: RunInfo
}
