import { openChromium } from '/work/wt-desk-rack/tests/support/chromium.ts';
const [,, src, out, w='1300', h='900', dark] = process.argv;
const b = await openChromium({ viewport: { width: +w!, height: +h! }, ...(dark?{colorScheme:'dark'}:{}) } as any);
const p = b.context.pages()[0]!;
await p.goto('file://'+src); await p.screenshot({ path: out! }); await b.close();
