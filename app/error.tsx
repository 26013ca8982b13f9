'use client'
import { useRouter } from 'next/navigation'
import { Button } from '@/app/ui/button'
import { Failed } from '@/app/ui/panels'

export default function PageError({
  error,
  reset,
}: {
  error: Error & { digest?: string }
  reset: () => void
}) {
  const router = useRouter()
  return (
    <div className="page page-narrow">
      <Failed
        level={1}
        acts={
          <>
            <Button look="do" onPress={reset}>
              Try again
            </Button>
            <Button onPress={() => router.push('/')}>All meetings</Button>
          </>
        }
      >
        <p>
          Nothing you entered is lost; it is saved on this phone. Try again. If it breaks again, reload the
          page.
        </p>
        <p className="small">
          Details for whoever runs the board: {error.message || error.digest || 'no details'}
        </p>
      </Failed>
    </div>
  )
}
