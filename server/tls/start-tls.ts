import { hostname } from 'node:os'
import { join } from 'node:path'
import type { Logger } from 'pino'
import type { Clock } from '@/lib/core/clock'
import { lanAddresses } from '../addresses'
import type { KeyAndCertificate } from './certificate-authority'
import { localCertificates, type LocalCertificates } from './local-certificates'

/** A laptop changes networks now and then. */
const LOOK_EVERY_MS = 30_000

export interface Tls {
  certificates: LocalCertificates
  /** Look for changed addresses and nearing ends, and hand each new certificate to `use`. Gives the way to stop. */
  keepFresh(use: (server: KeyAndCertificate) => void): () => void
}

/** The certificates of a data folder, kept up to date while the server runs. */
export async function startTls(dataFolder: string, clock: Clock, log: Logger): Promise<Tls> {
  const make = () =>
    localCertificates({
      folder: join(dataFolder, 'tls'),
      hostname: hostname(),
      addresses: lanAddresses(),
      now: clock.now(),
    })
  let current = await make()
  return {
    certificates: current,
    keepFresh(use) {
      const timer = setInterval(() => {
        make().then(
          (next) => {
            if (next.server.cert === current.server.cert) return
            current = next
            log.info('the certificate was renewed')
            use(next.server)
          },
          (e: unknown) => log.warn({ err: e }, 'the certificate could not be renewed'),
        )
      }, LOOK_EVERY_MS)
      timer.unref()
      return () => clearInterval(timer)
    },
  }
}
