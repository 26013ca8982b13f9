'use client'
import { useBoard, useSession } from '@/app/sync'
import { ArchivePart } from './archive-part'
import { ListsPart } from './lists-part'

/** Everything out of the board and in again: single lists as CSV, the team or a meeting as one archive. */
export function FilesScreen() {
  const view = useBoard()
  const { role } = useSession()
  return (
    <div className="page">
      <div className="page-head">
        <div>
          <h1>Files</h1>
          <p className="small">
            {view.hasMeeting
              ? 'Lists of this meeting and of the kit, and the whole of it as one archive.'
              : 'Lists of the kit, and the whole team as one archive. Open a meeting for its lists.'}
          </p>
        </div>
      </div>
      <div className="grid gap-4 min-w-0">
        <ListsPart />
        {role === 'manager' ? <ArchivePart /> : <p className="small">Archives are for managers.</p>}
      </div>
    </div>
  )
}
