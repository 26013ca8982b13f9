'use client'
import '@/app/globals.css'

/** When even the frame broke: nothing here may depend on anything else. */
export default function GlobalError({ reset }: { error: Error; reset: () => void }) {
  return (
    <html lang="en" data-night="auto">
      <body>
        <main className="page page-narrow">
          <h1>This page broke</h1>
          <p>Nothing you entered is lost; it is saved on this phone. Try again, or reload the page.</p>
          <button type="button" className="btn btn-do" onClick={reset}>
            Try again
          </button>
        </main>
      </body>
    </html>
  )
}
