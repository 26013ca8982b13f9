const HTML = `<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>No network, Stagecall</title>
<style>
  :root { color-scheme: light dark; }
  body { font: 1.125rem/1.5 system-ui, sans-serif; max-width: 40rem; margin: 0 auto; padding: 1rem; }
  a { display: inline-block; padding: 0.75rem 1rem; border: 2px solid; font-weight: 700; text-decoration: none; color: inherit; }
</style>
<h1>No network</h1>
<p>This page is not saved on this phone. Your changes are. Get back on the network, then try again.</p>
<p><a href="">Try again</a></p>
</html>
`

/** For a device that has no network and nothing kept: words instead of the browser's own error page. */
export const nothingKeptPage = (): Response =>
  new Response(HTML, {
    status: 503,
    headers: {
      'Content-Type': 'text/html; charset=utf-8',
      'Content-Security-Policy': `default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; frame-ancestors 'none'`,
    },
  })
