'use client'
import { Button, Note } from '@/app/ui'

/** Says why something could not be worked out, and starts the thread anew where that is of use. */
export const ThreadNote = ({ why, retry }: { why: string; retry?: (() => void) | null }) => (
  <Note tone="hot">
    {why}
    {retry && (
      <span className="btn-row no-print mt-2">
        <Button onPress={retry}>Try again</Button>
      </span>
    )}
  </Note>
)
