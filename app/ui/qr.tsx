'use client'
import { useMemo } from 'react'
import { create } from 'qrcode'

/** A QR code (ISO/IEC 18004) as one SVG path, dark on light in every theme: scanners need that. */
export function Qr({ text, label, size = 220 }: { text: string; label: string; size?: number }) {
  const { path, cells } = useMemo(() => {
    const { modules } = create(text, { errorCorrectionLevel: 'M' })
    let d = ''
    for (let y = 0; y < modules.size; y++)
      for (let x = 0; x < modules.size; x++) if (modules.get(y, x)) d += `M${x + 4} ${y + 4}h1v1h-1z`
    return { path: d, cells: modules.size + 8 }
  }, [text])
  return (
    <svg
      role="img"
      aria-label={label}
      width={size}
      height={size}
      viewBox={`0 0 ${cells} ${cells}`}
      shapeRendering="crispEdges"
      className="max-w-full h-auto"
    >
      <rect width={cells} height={cells} fill="#fff" />
      <path d={path} fill="#000" />
    </svg>
  )
}
