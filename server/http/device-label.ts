const SYSTEMS: [RegExp, string][] = [
  [/iPhone/, 'iPhone'],
  [/iPad/, 'iPad'],
  [/Android/, 'Android'],
  [/Windows/, 'Windows'],
  [/Macintosh|Mac OS X/, 'Mac'],
  [/CrOS/, 'ChromeOS'],
  [/Linux/, 'Linux'],
]
const BROWSERS: [RegExp, string][] = [
  [/Edg\//, 'Edge'],
  [/Firefox\/|FxiOS\//, 'Firefox'],
  [/SamsungBrowser\//, 'Samsung Internet'],
  [/Chrome\/|CriOS\//, 'Chrome'],
  [/Safari\//, 'Safari'],
]

/** A User-Agent header as something people recognise their device by. @example deviceLabel('…Android 14…Chrome/…') // 'Android, Chrome' */
export function deviceLabel(userAgent: string | undefined): string {
  const ua = (userAgent ?? '').slice(0, 1000)
  const find = (list: [RegExp, string][]) => list.find(([pattern]) => pattern.test(ua))?.[1]
  return [find(SYSTEMS), find(BROWSERS)].filter(Boolean).join(', ') || 'Unknown device'
}
