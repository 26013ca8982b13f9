'use client'
import { useSyncClient, useSyncSnapshot } from '@/app/sync'
import { CopyText } from '@/app/ui/copy-text'

/** Every field that is only on this phone, in words, whichever page it was changed on. */
export function UnsentList() {
  useSyncSnapshot()
  const lines = useSyncClient()?.unsent() ?? []
  if (lines.length === 0) return null
  return (
    <div className="grid gap-2">
      <h3>Only on this phone</h3>
      <CopyText label="Only on this phone" text={lines.join('\n')} />
    </div>
  )
}
