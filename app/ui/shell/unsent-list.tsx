'use client'
import { useOpenBoard, useSyncSnapshot } from '../../sync'
import { unsentText } from '../../sync/unsent-text'
import { CopyText } from '../copy-text'

/** Every field that is only on this phone, in words. */
export function UnsentList() {
  useSyncSnapshot()
  const board = useOpenBoard()
  if (!board) return null
  const lines = [board.kit, board.meeting].flatMap((room) => (room ? unsentText(room) : []))
  if (lines.length === 0) return null
  return (
    <div className="grid gap-2">
      <h3>Only on this phone</h3>
      <CopyText label="Only on this phone" text={lines.join('\n')} />
    </div>
  )
}
