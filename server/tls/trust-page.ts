interface TrustPageInputs {
  /** The board's own origin, https. */
  boardOrigin: string
  fingerprint: string
}

export const AUTHORITY_PATH = '/trust/stagecall-authority.crt'

const STEPS: { device: string; steps: string[] }[] = [
  {
    device: 'iPhone and iPad',
    steps: [
      'Tap the download above in Safari and allow it.',
      'Settings, General, VPN & Device Management: install the profile.',
      'Settings, General, About, Certificate Trust Settings: switch full trust on for it.',
    ],
  },
  {
    device: 'Android',
    steps: [
      'Tap the download above.',
      'Settings, search for “CA certificate”, choose Install anyway, then pick the downloaded file.',
    ],
  },
  {
    device: 'Windows',
    steps: [
      'Open the downloaded file, choose Install Certificate, Current User.',
      'Place it in “Trusted Root Certification Authorities”.',
    ],
  },
  {
    device: 'Mac',
    steps: [
      'Open the downloaded file: it lands in Keychain Access.',
      'Open it there, and under Trust choose Always Trust.',
    ],
  },
  {
    device: 'Firefox on any computer',
    steps: ['Settings, Privacy & Security, View Certificates, Authorities, Import.'],
  },
]

const escape = (text: string): string => text.replace(/[&<>"']/g, (c) => `&#${c.charCodeAt(0)};`)

/** The page that explains, to a phone that does not trust the board's certificate yet, how it learns to. */
export const trustPage = ({ boardOrigin, fingerprint }: TrustPageInputs): string => `<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Trust this board</title>
<style>
  :root { color-scheme: light dark; }
  body { font: 1.125rem/1.5 system-ui, sans-serif; max-width: 40rem; margin: 0 auto; padding: 1rem; }
  h1 { border-top: 0.5rem solid; padding-top: 0.5rem; }
  a.act { display: inline-block; padding: 0.75rem 1rem; border: 2px solid; font-weight: 700; text-decoration: none; }
  code { overflow-wrap: anywhere; }
</style>
<h1>Let this phone trust the board</h1>
<p>The laptop in the pit made its own certificate. Once this phone trusts it, the board opens without a warning and can be reloaded without
network.</p>
<p><a class="act" href="${AUTHORITY_PATH}" download>1. Download the certificate</a></p>
<h2>2. Tell the phone to trust it</h2>
${STEPS.map(
  ({ device, steps }) =>
    `<h3>${escape(device)}</h3>\n<ol>${steps.map((s) => `<li>${escape(s)}</li>`).join('')}</ol>`,
).join('\n')}
<h2>3. Open the board</h2>
<p><a class="act" href="${escape(boardOrigin)}">${escape(boardOrigin)}</a></p>
<h2>Before you trust it</h2>
<p>Compare the certificate’s SHA-256 fingerprint with the one in the terminal of the laptop; anybody on this network could show you a page
like this one:</p>
<p><code>${escape(fingerprint)}</code></p>
<p>The certificate can vouch only for addresses inside private networks and for local names, never for sites on the internet. Remove it from the phone, in the same place, when you no longer need it.</p>
</html>
`
