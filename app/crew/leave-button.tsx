'use client'
import { useState } from 'react'
import { useSyncClient, useSyncSnapshot } from '@/app/sync'
import { Button, Confirm, useToasts } from '@/app/ui'
import { onlyHere } from '@/app/photos/only-here'
import { usePhotosWaiting } from '@/app/photos/use-photos-waiting'
import { callApi } from '@/app/ui/call-api'

/** Remove this phone, as before handing it back to its owner. */
export function LeaveButton() {
  const client = useSyncClient()
  const toasts = useToasts()
  const { pending } = useSyncSnapshot()
  const here = onlyHere(pending, usePhotosWaiting())
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
          {here !== null && <b>{here} only on this phone will not be sent.</b>}
        </p>
      </Confirm>
    </div>
  )
}
