import type { Logger } from 'pino'

/** A stop that takes longer than this is cut off; everything acknowledged is on disk long before. */
const LONGEST_STOP_MS = 10_000

/**
 * Stop in good order on SIGINT, SIGTERM, SIGHUP, on a parent's word or its death, and (with exit code 1) after an error that nobody caught.
 * A second signal ends at once.
 */
export function stopOnSignals(log: Logger, stop: () => Promise<void>): void {
  let stopping = false
  const end = (why: string, code: number) => {
    if (stopping) process.exit(1)
    stopping = true
    log.info({ why }, 'stopping')
    const timer = setTimeout(() => {
      log.error('stopping took too long')
      process.exit(1)
    }, LONGEST_STOP_MS)
    stop().then(
      () => {
        clearTimeout(timer)
        process.exit(code)
      },
      (e: unknown) => {
        log.error({ err: e }, 'stopping failed')
        process.exit(1)
      },
    )
  }
  for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) process.on(signal, () => end(signal, 0))
  process.on('message', (message) => {
    if (message === 'stop') end('parent', 0)
  })
  process.on('disconnect', () => end('parent is gone', 0))
  process.on('uncaughtException', (e) => {
    log.fatal({ err: e }, 'uncaught error')
    end('uncaught error', 1)
  })
}
