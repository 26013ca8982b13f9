'use client'
import { useState } from 'react'
import { useSyncClient, useSyncSnapshot } from '../sync'
import { Button, Confirm, useToasts } from '../ui'
import { callApi } from '../ui/call-api'

/** Take this phone off the board, as before handing it back to its owner. */
export function LeaveButton() {
  const client = useSyncClient()
  const toasts = useToasts()
  const { pending } = useSyncSnapshot()
  const [asking, setAsking] = useState(false)
  const leave = async () => {
    const left = await callApi('/api/leave', {})
    if (!left.ok) return toasts.refused(left.error)
    await client?.restart()
  }
  return (
    <div>
      <Button look="quiet" onPress={() => setAsking(true)}>
        Take this phone off the board
      </Button>
      <Confirm
        title="Take this phone off the board?"
        isOpen={asking}
        onOpenChange={setAsking}
        act="Take it off"
        hot
        onConfirm={() => void leave()}
      >
        <p>
          You would need a new code to come back.{' '}
          {pending > 0 &&
            `${pending} ${pending === 1 ? 'change is' : 'changes are'} only on this phone and would not be sent.`}
        </p>
      </Confirm>
    </div>
  )
}
