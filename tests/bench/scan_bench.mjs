// Times the app's own way from a frame to a code against the bare decoder, in one run, interleaved.
// Arguments: the WebAssembly file, the frame (raw RGBA), its width and height, rounds. Prints JSON.
import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { pathToFileURL } from 'node:url'

const [pwa, frameFile, width, height, rounds] = process.argv.slice(2)
const require = createRequire(`${pwa}/package.json`)
const { prepare, readFrame } = await import(pathToFileURL(`${pwa}/src/scan/reader.ts`).href)
const { parse } = await import(pathToFileURL(`${pwa}/src/label/code.ts`).href)
const { readBarcodes } = await import(pathToFileURL(require.resolve('zxing-wasm/reader')).href.replace('/cjs/', '/es/').replace('.cjs', '.js'))
const wasm = readFileSync(require.resolve('zxing-wasm/reader/zxing_reader.wasm'))
await prepare({ wasmBinary: wasm.buffer.slice(wasm.byteOffset, wasm.byteOffset + wasm.byteLength) })

const image = { data: new Uint8ClampedArray(readFileSync(frameFile)), width: +width, height: +height }
const bareOptions = { formats: ['QRCode'], maxNumberOfSymbols: 1, tryHarder: true, tryInvert: false, tryRotate: false, textMode: 'Plain', binarizer: 'LocalAverage' }

const ours = []
const bare = []
let code = null
for (let round = 0; round < +rounds; round += 1) {
  let start = performance.now()
  const [reading] = await readFrame(image)
  const found = parse(reading.text)
  ours.push(performance.now() - start)
  code = found.ok ? found.code : null
  start = performance.now()
  await readBarcodes(image, bareOptions)
  bare.push(performance.now() - start)
}
const median = (all) => all.sort((a, b) => a - b)[all.length >> 1]
console.log(JSON.stringify({ ours: median(ours), bare: median(bare), code }))
