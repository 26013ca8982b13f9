'use client'
import { Button, LinkButton } from './ui/button'
import { Failed } from './ui/panels'

export default function PageError({
  error,
  reset,
}: {
  error: Error & { digest?: string }
  reset: () => void
}) {
  return (
    <div className="page page-narrow">
      <Failed
        level={1}
        acts={
          <>
            <Button look="do" onPress={reset}>
              Try again
            </Button>
            <LinkButton href="/">All meetings</LinkButton>
          </>
        }
      >
        <p>
          Nothing you entered is lost: the board keeps it on this phone. Try again; if it breaks again, reload
          the page.
        </p>
        <p className="small">
          For who looks after the board: {error.message || error.digest || 'no further word'}
        </p>
      </Failed>
    </div>
  )
}
