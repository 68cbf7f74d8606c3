/** Giving a file out of the app: shared where the phone can share files, else saved by the browser. */

export type Handed = 'shared' | 'saved' | 'cancelled'

interface Browser {
  readonly canShare?: (data: { files: File[] }) => boolean
  readonly share?: (data: { files: File[] }) => Promise<void>
}

/**
 * Resolves once it is out of our hands. `save` starts the browser's own saving; a browser tells
 * nobody whether that went well, so neither can we.
 */
export async function hand(file: File, browser: Browser = navigator, save: (file: File) => void = download): Promise<Handed> {
  if (browser.share && browser.canShare?.({ files: [file] })) {
    try {
      await browser.share({ files: [file] })
      return 'shared'
    } catch (error) {
      if (!(error instanceof DOMException)) throw error
      if (error.name === 'AbortError') return 'cancelled'
      // Not allowed after all, or too long after the tap: saving always is.
    }
  }
  save(file)
  return 'saved'
}

/** Long enough for the slowest phone to begin to save. */
const KEPT_MS = 60_000

function download(file: File): void {
  const link = document.createElement('a')
  link.href = URL.createObjectURL(file)
  link.download = file.name
  link.click()
  setTimeout(() => URL.revokeObjectURL(link.href), KEPT_MS)
}
