'use client'
import { useState } from 'react'
import { useSyncClient, useSyncSnapshot } from '@/app/sync'
import { Button, Confirm, useToasts } from '@/app/ui'
import { callApi } from '@/app/ui/call-api'

/** Remove this phone, as before handing it back to its owner. */
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
        Remove this phone
      </Button>
      <Confirm
        title="Remove this phone?"
        isOpen={asking}
        onOpenChange={setAsking}
        act="Remove it"
        hot
        onConfirm={() => void leave()}
      >
        <p>
          You will need a new code to come back.{' '}
          {pending > 0 &&
            `${pending} ${pending === 1 ? 'change is' : 'changes are'} only on this phone and will not be sent.`}
        </p>
      </Confirm>
    </div>
  )
}
