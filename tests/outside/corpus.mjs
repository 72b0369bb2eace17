// Drawings of the plates in scenes.json, written by two general-purpose libraries: dxf-writer and
// @tarikjabiri/dxf. Called by corpus.py:
//
//   node corpus.mjs FOLDER_OF_NODE_MODULES SCENES.json OUT
import { readFileSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';

const [modules, scenes, out] = process.argv.slice(2);
const require = createRequire(`${modules}/`);
const Drawing = require('dxf-writer');
const { DxfWriter, Units, point3d, point2d, LWPolylineFlags, SplineFlags } = require('@tarikjabiri/dxf');

const degrees = (angle) => (angle * 180) / Math.PI;
const swept = ({ from, sweep }) => (sweep > 0 ? [from, from + sweep] : [from + sweep, from]);
const bulged = (loop) => loop.map((it) => ({ at: it.start, bulge: it.kind === 'arc' ? Math.tan(it.sweep / 4) : 0 }));

for (const { name, loops } of JSON.parse(readFileSync(scenes, 'utf8'))) {
    let drawing = new Drawing();
    drawing.setUnits('Millimeters');
    for (const loop of loops) {
        for (const it of loop) {
            if (it.kind === 'circle') drawing.drawCircle(it.centre[0], it.centre[1], it.radius);
            else if (it.kind === 'arc') {
                drawing.drawArc(it.centre[0], it.centre[1], it.radius, ...swept(it).map(degrees));
            } else drawing.drawLine(...it.start, ...it.end);
        }
    }
    writeFileSync(`${out}/${name}=dxf-writer lines and arcs.dxf`, drawing.toDxfString());

    drawing = new Drawing();
    drawing.setUnits('Millimeters');
    drawing.addLayer('CUT', Drawing.ACI.RED, 'CONTINUOUS').setActiveLayer('CUT');
    for (const loop of loops) {
        if (loop[0].kind === 'circle') drawing.drawCircle(...loop[0].centre, loop[0].radius);
        else drawing.drawPolyline(bulged(loop).map(({ at, bulge }) => [...at, bulge]), true);
    }
    drawing.drawText(0, 0, 5, 0, 'plate');
    writeFileSync(`${out}/${name}=dxf-writer polylines.dxf`, drawing.toDxfString());

    let dxf = new DxfWriter();
    dxf.setUnits(Units.Millimeters);
    for (const loop of loops) {
        for (const it of loop) {
            const centre = it.centre && point3d(...it.centre, 0);
            if (it.kind === 'circle') dxf.addCircle(centre, it.radius);
            else if (it.kind === 'arc') dxf.addArc(centre, it.radius, ...swept(it).map(degrees));
            else dxf.addLine(point3d(...it.start, 0), point3d(...it.end, 0));
        }
    }
    writeFileSync(`${out}/${name}=tarikjabiri-dxf lines and arcs.dxf`, dxf.stringify());

    dxf = new DxfWriter();
    dxf.setUnits(Units.Millimeters);
    for (const loop of loops) {
        const it = loop[0];
        if (it.kind === 'circle') {
            dxf.addEllipse(point3d(...it.centre, 0), point3d(it.radius, 0, 0), 1, 0, 2 * Math.PI);
        } else {
            const points = bulged(loop).map(({ at, bulge }) => ({ point: point2d(...at), bulge }));
            dxf.addLWPolyline(points, { flags: LWPolylineFlags.Closed });
        }
    }
    writeFileSync(`${out}/${name}=tarikjabiri-dxf polylines and ellipses.dxf`, dxf.stringify());
}
