'use client'
import { LOSS_CAUSE, LOSS_TITLE, lossSentences, WHAT_TO_DO } from '@/lib/sync/loss-words'
import { useNow } from '@/app/sync'
import { Button } from '@/app/ui/button'
import { whenText } from '@/app/ui/time-text'
import { useLostNotice } from './use-lost-notice'

/** [S26] For managers, on every screen until one of them has read it: what was lost, since when, whose, and what to do. */
export function LostBanner() {
  const { notice, read } = useLostNotice()
  const now = useNow(60_000)
  if (notice === null) return null
  const { losses, lines } = notice
  return (
    <div className="banner banner-hot" role="alert">
      {losses.length === 0 ? (
        <span>{lines.join(' ')}</span>
      ) : (
        <span>
          <b>{LOSS_TITLE}:</b> {LOSS_CAUSE}{' '}
          {losses.flatMap((loss) => lossSentences(loss, (at) => whenText(at, now))).join(' ')}{' '}
          <b>What to do:</b> {WHAT_TO_DO}
        </span>
      )}
      <Button onPress={() => void read()}>I have read it</Button>
    </div>
  )
}
