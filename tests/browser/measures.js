// What a screen is measured by, put into the page from outside. Each gives a list of sentences,
// empty where all is well. An open sheet is measured alone: what lies under it is out of reach.

const top = () => [...document.querySelectorAll('dialog:modal')].at(-1) ?? document.body
const style = (one) => getComputedStyle(one)
const seen = (one) => one.checkVisibility({ opacityProperty: true, visibilityProperty: true })
const words = (text) => text.replace(/\s+/g, ' ').trim().slice(0, 40)
const call = (one) => words(one.getAttribute('aria-label') ?? one.textContent) || one.tagName.toLowerCase()
const unique = (list) => [...new Set(list)]

const scrolls = (one, axis) => /auto|scroll/.test(style(one)[`overflow${axis}`])

/** Inside something that scrolls, and not in the part of it that shows. */
function scrolledAway(of, box) {
  for (let one = of; one && one !== document.body; one = one.parentElement) {
    if (!scrolls(one, 'X') && !scrolls(one, 'Y')) continue
    const shown = one.getBoundingClientRect()
    if (box.bottom > shown.bottom || box.top < shown.top || box.right > shown.right || box.left < shown.left) return true
  }
  return false
}

/** Every visible piece of text with its element and the boxes it is drawn in. */
function texts() {
  const found = []
  const walker = document.createTreeWalker(top(), NodeFilter.SHOW_TEXT)
  while (walker.nextNode()) {
    const node = walker.currentNode
    const of = node.parentElement
    if (!node.data.trim() || !seen(of) || of.closest('.skip, .spoken, datalist, option, script')) continue
    const range = document.createRange()
    range.selectNodeContents(node)
    const boxes = [...range.getClientRects()].filter((box) => box.width > 1 && box.height > 1 && !scrolledAway(of, box))
    if (boxes.length > 0) found.push({ of, text: words(node.data), boxes })
  }
  return found
}

/** Pixels a letter really is: text in a drawing grows and shrinks with it. */
function pixels(of) {
  const drawing = of.closest('svg')
  return parseFloat(style(of).fontSize) * (drawing ? of.getScreenCTM().a : 1)
}

function small(least) {
  return unique(texts().filter(({ of }) => pixels(of) < least - 0.1)
    .map(({ of, text }) => `${text}: ${pixels(of).toFixed(1)} px`))
}

/** Codes that a screen is about, and the field they are typed into. */
function smallCodes(least) {
  const code = /^[2-9A-HJKMNP-Z]{4}-[2-9A-HJKMNP-Z]{4}$/
  const about = [...top().querySelectorAll('h1, .code')]
    .filter((one) => seen(one) && (one.matches('input') || code.test(one.textContent.trim())))
  return about.filter((one) => parseFloat(style(one).fontSize) < least - 0.1).map(call)
}

/** Text that leaves the page sideways, or is cut by what surrounds it and cannot be scrolled to. */
function cut() {
  return unique(texts().flatMap(({ of, text, boxes }) => {
    for (let one = of; one && one !== document.documentElement; one = one.parentElement) {
      if (scrolls(one, 'X')) return []
      const { left, right, top, bottom } = one.getBoundingClientRect()
      const { overflowX, overflowY } = style(one)
      const hides = one !== document.body && /hidden|clip/.test(overflowX + overflowY) && !scrolls(one, 'Y')
      const out = (box) => box.left < left - 1 || box.right > right + 1 || box.top < top - 4 || box.bottom > bottom + 4
      if (hides && boxes.some(out)) return [`${text}: cut by ${one.className || one.tagName}`]
    }
    return boxes.some((box) => box.left < -1 || box.right > innerWidth + 1) ? [`${text}: beyond the page`] : []
  }))
}

const pen = document.createElement('canvas').getContext('2d')

/** Lists whose chosen entry does not fit between their edge and their arrow. */
function cutLists() {
  return [...top().querySelectorAll('select')].filter(seen).filter((one) => {
    const { font, paddingLeft, paddingRight } = style(one)
    pen.font = font
    const room = one.clientWidth - parseFloat(paddingLeft) - parseFloat(paddingRight) - 16
    return pen.measureText(one.selectedOptions[0]?.label ?? '').width > room
  }).map((one) => `${one.selectedOptions[0].label}: cut in its list`)
}

const floats = (one) => {
  for (let at = one; at; at = at.parentElement) if (/fixed|sticky/.test(style(at).position)) return at
  return null
}

/** Texts drawn over one another; what floats over the page is apart from it. */
function overlapping() {
  const all = texts().flatMap(({ of, text, boxes }) => boxes.map((box) => ({ of, text, box, layer: floats(of) })))
  const wrong = []
  for (const [index, a] of all.entries()) for (const b of all.slice(index + 1)) {
    if (a.layer !== b.layer || (a.of === b.of && a.text === b.text)) continue
    const across = Math.min(a.box.right, b.box.right) - Math.max(a.box.left, b.box.left)
    const down = Math.min(a.box.bottom, b.box.bottom) - Math.max(a.box.top, b.box.top)
    // Lines of one paragraph reach a little into each other's leading.
    if (across > 2 && down > 0.3 * Math.min(a.box.height, b.box.height)) wrong.push(`${a.text} | ${b.text}`)
  }
  return unique(wrong)
}

/** What floats over the page takes more than half of it, so that hardly anything can be read. */
function covered() {
  const wide = [...document.body.querySelectorAll('nav, .thumb, main div, main section')]
    .filter((one) => /fixed|sticky/.test(style(one).position) && seen(one))
    .map((one) => one.getBoundingClientRect()).filter((box) => box.width > innerWidth / 2)
  const taken = wide.reduce((sum, box) => sum + box.height, 0)
  return taken > innerHeight / 2 ? [`${Math.round(taken)} of ${innerHeight} px`] : []
}

const sideways = () => {
  const over = document.documentElement.scrollWidth - innerWidth
  return over > 0 ? [`${over} px beyond the page`] : []
}

const box = (one) => (one.closest('label') ?? one).getBoundingClientRect()

function controls(of) {
  return [...top().querySelectorAll(of)]
    .filter((one) => style(one).display !== 'inline' || one.tagName !== 'A')
    .filter((one) => !one.matches('.skip, [tabindex="-1"]:not([role])') && seen(one.closest('label') ?? one))
    .map((one) => ({ one, whole: one.closest('label') ?? one, box: box(one) }))
    .filter(({ box }) => box.width > 1 && box.height > 1)
}

/**
 * Controls smaller than `size` high or 48 wide, and neighbours whose middles are so near that two of
 * that size with `gap` between would not fit. What floats is apart from what scrolls under it.
 */
function targets({ size, gap, of }) {
  const all = controls(of)
  const say = ({ one, box }) => `${call(one.closest('label') ?? one)} ${Math.round(box.width)}x${Math.round(box.height)}`
  const wrong = all.filter(({ box }) => box.height < size - 0.5 || box.width < 47.5).map(say)
  for (const [index, a] of all.entries()) for (const b of all.slice(index + 1)) {
    if (a.whole === b.whole || floats(a.one) !== floats(b.one)) continue
    const across = Math.max(a.box.left, b.box.left) - Math.min(a.box.right, b.box.right)
    const down = Math.max(a.box.top, b.box.top) - Math.min(a.box.bottom, b.box.bottom)
    const [apart, middles, least] = across > down
      ? [across, across + (a.box.width + b.box.width) / 2, 48] : [down, down + (a.box.height + b.box.height) / 2, size]
    if (apart < gap - 0.5 && middles < least + gap - 0.5) wrong.push(`${say(a)} | ${say(b)} ${Math.round(apart)} apart`)
  }
  return unique(wrong)
}

function channels(colour) {
  const [red, green, blue, alpha = 1] = colour.match(/[\d.]+/g).map(Number)
  return { rgb: [red, green, blue], alpha }
}

/** Relative luminance and contrast as WCAG 2.2 defines them. */
function luminance(rgb) {
  const [red, green, blue] = rgb.map((part) => part / 255)
    .map((part) => (part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4))
  return 0.2126 * red + 0.7152 * green + 0.0722 * blue
}
function contrast(one, other) {
  const [high, low] = [luminance(one), luminance(other)].sort((a, b) => b - a)
  return (high + 0.05) / (low + 0.05)
}

/** What lies behind an element; the camera's picture has no colour that could be asked. */
function ground(one) {
  for (let at = one.parentElement; at; at = at.parentElement) {
    const { rgb, alpha } = channels(style(at).backgroundColor)
    if (alpha === 1) return rgb
  }
  return channels(style(document.documentElement).backgroundColor).rgb
}

/** Controls that neither their edge nor their filling sets off from what is behind, 3:1. */
function edges() {
  return unique([...top().querySelectorAll('button, input, select, textarea, label:has(input)')]
    .filter((one) => seen(one) && !style(one).textDecorationLine.includes('underline') && !one.matches('label input'))
    .filter((one) => parseFloat(style(one).borderTopWidth) > 0 && style(one).borderTopStyle !== 'none')
    .filter((one) => {
      const [edge, filling] = [channels(style(one).borderTopColor), channels(style(one).backgroundColor)]
      const behind = ground(one)
      const off = ({ rgb, alpha }) => alpha === 1 && contrast(rgb, behind) >= 3
      return !off(edge) && !off(filling) && edge.alpha > 0
    })
    .map(call))
}

/** Movement that goes on although the person asked for little of it. */
const moving = () => document.getAnimations().filter(({ playState }) => playState === 'running').map(({ id }) => `moving ${id}`)

/** Whether the ring round what has the focus is drawn, 2 px or more and 3:1 against what is behind it. */
function ringed(one) {
  const drawn = one.querySelector(':scope > .label')
  if (one instanceof SVGElement && drawn) return parseFloat(style(drawn).strokeWidth) >= 3
  return [one, one.closest('label') ?? one].some((ring) => {
    const { outlineStyle, outlineWidth, outlineColor } = style(ring)
    if (outlineStyle === 'none' || parseFloat(outlineWidth) < 2 || !seen(ring)) return false
    return contrast(channels(outlineColor).rgb, ground(ring)) >= 3
  })
}

/** Whether something that floats lies over the middle of what has the focus. */
function hidden(one) {
  const { left, right, top, bottom } = box(one)
  const middle = [(left + right) / 2, (Math.max(top, 0) + Math.min(bottom, innerHeight)) / 2]
  const there = document.elementFromPoint(...middle)
  const whole = one.closest('label') ?? one
  return !there || !(whole.contains(there) || there.contains(whole))
}

/** Where the focus is, and what is wrong with how that shows. The screen as a whole needs no ring. */
function focused() {
  const one = document.activeElement
  if (one === document.body) return { at: null, where: null, wrong: [] }
  one.dataset.visited = ''
  const whole = one.matches('main, dialog h2')
  const wrong = [...(!whole && !ringed(one) ? ['no ring'] : []), ...(!whole && hidden(one) ? ['hidden'] : [])]
  // A button may be called as the heading is: where it stands tells one from the other.
  const where = [...document.querySelectorAll('*')].indexOf(one.closest('label') ?? one)
  return { at: call(one.closest('label') ?? one), where, wrong: wrong.map((what) => `${call(one)}: ${what}`) }
}

/** What the Tab key should have come to and did not; of a group of tiles, or a grid of places, one. */
function unvisited() {
  return [...top().querySelectorAll('a[href], button, input, select, textarea, summary, [tabindex="0"]')]
    .filter((one) => !one.disabled && one.type !== 'file' && seen(one.closest('label') ?? one) && !('visited' in one.dataset))
    .filter((one) => !(one.type === 'radio' && document.querySelector(`[name="${one.name}"][data-visited]`)))
    .filter((one) => !one.closest('[role=grid]')?.querySelector('[data-visited]'))
    .map(call)
}

/** How letters look and on what. */
const look = (of) => [style(of).color, style(of).fontSize, style(of).fontWeight, ...ground(of)].join()
const noted = new Map()

/** Remembers how the texts look that are shown now. */
function note() {
  noted.clear()
  for (const { of } of texts()) noted.set(of, look(of))
}

/** What has text that was not shown when it was noted, or looked otherwise; and whether any went. */
function changed() {
  const now = new Set(texts().map(({ of }) => of))
  return {
    fresh: [...now].filter((of) => noted.get(of) !== look(of)),
    gone: [...noted.keys()].some((of) => of.isConnected && !now.has(of) && !of.closest('nav')),
  }
}

window.measures = { note, changed, focused, unvisited, small, smallCodes, covered, cut, cutLists, overlapping, sideways, targets, edges, moving }
