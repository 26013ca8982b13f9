import { FirstPlace } from './first-place'

/** A meeting opens where the work of whoever opens it is. */
export default function MeetingPage() {
  return <FirstPlace />
}
