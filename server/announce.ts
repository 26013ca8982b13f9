import QRCode from 'qrcode'

export interface AnnouncedLink {
  label: string
  url: string
}

export interface Announcement {
  title: string
  /** Phones' first, this machine's own last. */
  origins: readonly string[]
  links: readonly AnnouncedLink[]
  /** Drawn as a QR code under its label. */
  scan: AnnouncedLink
  notes: readonly string[]
}

/** What the terminal says when the server is up. */
export async function announcementText({
  title,
  origins,
  links,
  scan,
  notes,
}: Announcement): Promise<string> {
  const qr = await QRCode.toString(scan.url, { type: 'terminal', small: true, errorCorrectionLevel: 'L' })
  const rows: AnnouncedLink[] = origins.map((url) => ({
    label: new URL(url).hostname === 'localhost' ? 'On this machine' : 'On the network',
    url,
  }))
  const width = Math.max(...[...rows, ...links].map((r) => r.label.length))
  const line = (r: AnnouncedLink) => `  ${r.label.padEnd(width)}   ${r.url}`
  return [
    '',
    `  ${title}`,
    '',
    ...rows.map(line),
    ...(links.length > 0 ? ['', ...links.map(line)] : []),
    '',
    `  Scan: ${scan.label}`,
    ...qr
      .trimEnd()
      .split('\n')
      .map((l) => `  ${l}`),
    ...notes.map((n) => `  ${n}`),
    '',
  ].join('\n')
}
