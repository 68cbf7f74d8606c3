// Seen only with `npm run dev` at /src/kit/sheet/glyphs.html; the build never takes it in.
import { mount } from 'svelte'
import '../../tokens.css'
import Glyphs from './Glyphs.svelte'

mount(Glyphs, { target: document.body })
