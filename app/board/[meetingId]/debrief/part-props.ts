import type { RunInfo } from '@/lib/card'

/** What every part of a debrief is given. */
export interface PartProps {
  run: RunInfo
}
