// Footage beside the map: one moment of one run, shown by the video and by a marker on every drawing.
(() => {
    'use strict';
    const data = JSON.parse(document.getElementById('data').textContent);
    const panel = document.getElementById('footage');
    if (!panel) return;
    const part = (selector) => panel.querySelector(selector);
    const video = part('video');
    const slide = part('input');
    const trouble = part('.trouble');
    const playing = part('.play');
    const chosen = part('.chosen');
    const still = part('.still');
    const moments = part('.moments');
    const now = {run: -1, time: 0, clip: -1};
    let waiting = null;  // seconds to go to once the clip is there

    // ---- time and station ----------------------------------------------------------------------

    // The way of every run in unbroken pieces of [time, station].
    const pieces = data.runs.map((run) => {
        const all = [];
        let piece = [];
        for (const point of run.way) {
            if (point === null) {
                all.push(piece);
                piece = [];
            } else {
                piece.push(point);
            }
        }
        all.push(piece);
        return all.filter((one) => one.length > 0);
    });

    function stationAt(run, time) {
        for (const piece of pieces[run]) {
            if (time < piece[0][0] || time > piece[piece.length - 1][0]) continue;
            let low = 0;
            let high = piece.length - 1;
            while (high - low > 1) {
                const middle = (low + high) >> 1;
                if (piece[middle][0] <= time) low = middle; else high = middle;
            }
            const [t0, s0] = piece[low];
            const [t1, s1] = piece[high];
            return t1 === t0 ? s0 : s0 + (s1 - s0) * (time - t0) / (t1 - t0);
        }
        return null;
    }

    // A stop at the station if there was one, else the first time the head passed it, else the
    // moment at which it came nearest.
    function timeAt(run, station) {
        let crossing = null;
        let nearest = {away: Infinity, time: 0};
        for (const piece of pieces[run]) {
            for (let i = 0; i < piece.length; ++i) {
                const [t1, s1] = piece[i];
                const away = Math.abs(s1 - station);
                if (away < nearest.away) nearest = {away, time: t1};
                if (i === 0) continue;
                const [t0, s0] = piece[i - 1];
                const still_s = t1 - t0;
                if (still_s >= 2 && away <= data.runs[run].step &&
                    Math.abs(s0 - s1) <= data.runs[run].step) {
                    return t0 + still_s / 2;
                }
                if (crossing === null && (s0 - station) * (s1 - station) <= 0) {
                    crossing = s1 === s0 ? t0 : t0 + still_s * (station - s0) / (s1 - s0);
                }
            }
        }
        return crossing === null ? nearest.time : crossing;
    }

    function clipAt(run, time) {
        const clips = data.runs[run].clips;
        let index = 0;
        for (let i = 0; i < clips.length; ++i) if (clips[i].start <= time + 1e-6) index = i;
        return index;
    }

    const clamp = (value, low, high) => Math.min(Math.max(value, low), high);
    const endOf = (run) => {
        const clips = data.runs[run].clips;
        return clips.length ? clips[clips.length - 1].start + clips[clips.length - 1].length : 0;
    };
    const clockWords = (seconds) =>
        `${Math.floor(seconds / 60)}:${String(Math.floor(seconds % 60)).padStart(2, '0')}`;

    // ---- drawings ------------------------------------------------------------------------------

    function planPlace(run, station) {
        const line = data.runs[run].plan;
        if (line.length < 2) return null;
        const s = clamp(station, line[0][0], line[line.length - 1][0]);
        let i = 1;
        while (i < line.length - 1 && line[i][0] < s) ++i;
        const [s0, x0, y0] = line[i - 1];
        const [s1, x1, y1] = line[i];
        const share = s1 === s0 ? 0 : (s - s0) / (s1 - s0);
        return [x0 + share * (x1 - x0), y0 + share * (y1 - y0)];
    }

    // Both plans show the same ground about their middle; places are kept in pixels of the wide one.
    function onPlan(svg, [x, y]) {
        const {width, height} = svg.viewBox.baseVal;
        const k = Number(svg.dataset.k);
        return [(x - data.plan_size[0] / 2) * k + width / 2, (y - data.plan_size[1] / 2) * k + height / 2];
    }

    function offPlan(svg, {x, y}) {
        const {width, height} = svg.viewBox.baseVal;
        const k = Number(svg.dataset.k);
        return {x: (x - width / 2) / k + data.plan_size[0] / 2, y: (y - height / 2) / k + data.plan_size[1] / 2};
    }

    function put(marker, place) {
        marker.classList.toggle('on', place !== null);
        if (place) marker.setAttribute('transform', `translate(${place[0].toFixed(1)} ${place[1].toFixed(1)})`);
    }

    function draw() {
        const run = data.runs[now.run];
        const station = stationAt(now.run, now.time);
        const known = station !== null && run.from_start;
        const words = known ? `${(station / data.metres_per_unit).toFixed(1)} ${data.unit} from the start`
            : station === null ? 'the counter was not read here'
                : 'the start of this run is not known';
        const clip = run.clips[now.clip];
        part('.readout').textContent =
            `Run ${run.id} · ${clip.name} at ${clockWords(now.time - clip.start)} · ${words}`;
        panel.dataset.run = run.id;
        panel.dataset.clip = clip.name;
        panel.dataset.time = (now.time - clip.start).toFixed(3);
        panel.dataset.station = known ? station.toFixed(4) : '';
        document.querySelectorAll('svg.seek').forEach((svg) => {
            const mine = Number(svg.dataset.run) === now.run;
            const along = svg.classList.contains('motion') ? now.time : known ? station : null;
            const place = mine && along !== null
                ? [Number(svg.dataset.x0) + Number(svg.dataset.k) * along, 0] : null;
            put(svg.querySelector('.marker'), place);
            svg.setAttribute('aria-valuetext', mine ? words : '');
        });
        const onGround = known ? planPlace(now.run, station) : null;
        document.querySelectorAll('svg.plan').forEach(
            (svg) => put(svg.querySelector('.marker'), onGround && onPlan(svg, onGround)));
        slide.value = now.time;
        drawStill(clip);
    }

    // ---- stills, where the clip does not play --------------------------------------------------

    const placeWords = (run, station) => station !== null && data.runs[run].from_start
        ? `${(station / data.metres_per_unit).toFixed(1)} ${data.unit}` : 'no reading';

    function nearestStill(clip) {
        let best = null;
        for (const one of clip.stills) {
            const away = Math.abs(clip.start + one.t - now.time);
            if (best === null || away < best.away) best = {one, away};
        }
        return best && best.one;
    }

    function drawStill(clip) {
        if (still.hidden) return;
        const shown = nearestStill(clip);
        const image = still.querySelector('img');
        if (image.getAttribute('src') !== shown.src) image.setAttribute('src', shown.src);
        const words = `Still at ${clockWords(shown.t)}, ` +
            `${placeWords(now.run, stationAt(now.run, clip.start + shown.t))}: ${shown.words}`;
        image.alt = words;
        still.querySelector('figcaption').textContent = words;
        moments.querySelectorAll('button').forEach((button) => button.setAttribute(
            'aria-pressed', String(button.dataset.t === String(shown.t))));
    }

    function showStills(run, clip) {
        still.hidden = moments.hidden = clip.stills.length === 0;
        moments.replaceChildren(...clip.stills.map((one) => {
            const button = document.createElement('button');
            button.type = 'button';
            button.dataset.t = one.t;
            button.textContent = `${placeWords(run, stationAt(run, clip.start + one.t))}: ${one.words}`;
            button.addEventListener('click', () => go(run, clip.start + one.t));
            return button;
        }));
    }

    // ---- choosing ------------------------------------------------------------------------------

    function chooseRun(run) {
        now.run = run;
        now.clip = -1;
        slide.max = endOf(run);
        chosen.replaceChildren();
        const drawing = document.querySelector(`.run svg.profile[data-run="${run}"]`) ||
            document.querySelector(`.run svg.motion[data-run="${run}"]`);
        if (drawing) {
            const copy = drawing.cloneNode(true);
            chosen.append(copy);
            makeSeekable(copy);
        }
    }

    // Shows a moment of a run: seconds from the start of its first clip.
    function go(run, time) {
        if (!data.runs[run].clips.length) return;
        if (run !== now.run) chooseRun(run);
        now.time = clamp(time, 0, endOf(run));
        const index = clipAt(run, now.time);
        const clip = data.runs[run].clips[index];
        if (index !== now.clip) {
            now.clip = index;
            trouble.hidden = still.hidden = moments.hidden = true;
            video.hidden = playing.disabled = false;
            if (clip.url) video.src = clip.url; else cannotPlay();
            part('.clips').querySelectorAll('button').forEach((button) => button.setAttribute(
                'aria-pressed', String(button.dataset.run === String(run) && button.dataset.clip === String(index))));
        }
        if (!video.hidden) {
            if (video.readyState >= 1) video.currentTime = now.time - clip.start;
            else waiting = now.time - clip.start;
        }
        draw();
    }

    function cannotPlay() {
        const clip = data.runs[now.run].clips[now.clip];
        video.hidden = playing.disabled = true;
        trouble.hidden = false;
        trouble.textContent = `This browser cannot show ${clip.name}: it is not beside this page, or ` +
            'its format is one that browsers do not play. Open the file in a video player; the marker ' +
            `still moves with the slider${clip.stills.length ? ', and stills show its key moments' : ''}.`;
        showStills(now.run, clip);
        drawStill(clip);
    }

    function goToStation(run, station) {
        if (pieces[run].length) go(run, timeAt(run, station));
    }

    function togglePlay() {
        if (video.paused) video.play().catch(() => {}); else video.pause();
    }
    playing.addEventListener('click', togglePlay);
    video.addEventListener('click', togglePlay);
    for (const name of ['play', 'pause', 'ended']) {
        video.addEventListener(name, () => { playing.textContent = video.paused ? 'Play' : 'Pause'; });
    }

    video.addEventListener('loadedmetadata', () => {
        if (waiting !== null) video.currentTime = waiting;
        waiting = null;
    });
    video.addEventListener('error', () => { if (now.run >= 0) cannotPlay(); });
    function follow() {
        if (now.run < 0 || waiting !== null || video.readyState < 1) return;
        now.time = data.runs[now.run].clips[now.clip].start + video.currentTime;
        draw();
    }
    for (const name of ['timeupdate', 'seeked', 'pause']) video.addEventListener(name, follow);
    video.addEventListener('play', () => {
        const step = () => {
            follow();
            if (!video.paused && !video.ended) requestAnimationFrame(step);
        };
        requestAnimationFrame(step);
    });
    video.addEventListener('ended', () => {
        const clips = data.runs[now.run].clips;
        if (now.clip + 1 >= clips.length) return;
        go(now.run, clips[now.clip + 1].start);
        video.play().catch(() => {});
    });
    slide.addEventListener('input', () => go(now.run, Number(slide.value)));

    // ---- pointing ------------------------------------------------------------------------------

    const pointIn = (svg, event) =>
        new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());

    function makeSeekable(svg) {
        const run = Number(svg.dataset.run);
        if (!data.runs[run].clips.length) return;
        svg.setAttribute('tabindex', '0');
        svg.setAttribute('role', 'slider');
        const along = (event) =>
            (pointIn(svg, event).x - Number(svg.dataset.x0)) / Number(svg.dataset.k);
        const move = (event) => svg.classList.contains('motion')
            ? go(run, along(event)) : goToStation(run, along(event));
        svg.addEventListener('click', move);
        svg.addEventListener('keydown', (event) => {
            const step = data.metres_per_unit < 1 ? data.metres_per_unit : 0.5;
            const here = (now.run === run ? stationAt(run, now.time) : null) || 0;
            const end = data.runs[run].length || here;
            const to = {
                ArrowRight: here + step, ArrowUp: here + step, ArrowLeft: here - step,
                ArrowDown: here - step, PageUp: here + 10 * step, PageDown: here - 10 * step,
                Home: 0, End: end,
            }[event.key];
            if (event.key === ' ') {
                if (now.run !== run) goToStation(run, 0);
                togglePlay();
            } else if (to !== undefined) {
                goToStation(run, clamp(to, 0, end));
            } else {
                return;
            }
            event.preventDefault();
        });
    }

    function nearestOnPlan(svg, event) {
        const point = offPlan(svg, pointIn(svg, event));
        let best = {away: 30 / Number(svg.dataset.k), run: -1, station: 0};
        data.runs.forEach((run, index) => {
            if (!run.clips.length) return;
            for (let i = 1; i < run.plan.length; ++i) {
                const [s0, x0, y0] = run.plan[i - 1];
                const [s1, x1, y1] = run.plan[i];
                const long2 = (x1 - x0) ** 2 + (y1 - y0) ** 2 || 1e-9;
                const share = clamp(((point.x - x0) * (x1 - x0) + (point.y - y0) * (y1 - y0)) / long2, 0, 1);
                const away = Math.hypot(point.x - x0 - share * (x1 - x0), point.y - y0 - share * (y1 - y0));
                if (away < best.away) best = {away, run: index, station: s0 + share * (s1 - s0)};
            }
        });
        return best;
    }

    document.querySelectorAll('svg.plan').forEach((svg) => svg.addEventListener('click', (event) => {
        const best = nearestOnPlan(svg, event);
        if (best.run >= 0) goToStation(best.run, best.station);
    }));
    document.querySelectorAll('svg.seek').forEach(makeSeekable);

    // ---- start ---------------------------------------------------------------------------------

    data.runs.forEach((run, index) => run.clips.forEach((clip, number) => {
        const button = document.createElement('button');
        button.type = 'button';
        button.textContent = `${run.id}: ${clip.name}`;
        button.dataset.run = index;
        button.dataset.clip = number;
        button.setAttribute('aria-pressed', 'false');
        button.addEventListener('click', () => {
            go(index, clip.start);
            video.play().catch(() => {});
        });
        part('.clips').append(button);
    }));

    // #clip=house.mp4&t=12.5 or #run=BS&at=20 (in the unit of the page) opens the page at a moment.
    function fromAddress() {
        const wanted = new URLSearchParams(location.hash.slice(1));
        for (let run = 0; run < data.runs.length; ++run) {
            const clip = data.runs[run].clips.find((one) => one.name === wanted.get('clip'));
            if (clip) return go(run, clip.start + Number(wanted.get('t') || 0));
            if (data.runs[run].id === wanted.get('run')) {
                return goToStation(run, Number(wanted.get('at') || 0) * data.metres_per_unit);
            }
        }
        return undefined;
    }
    panel.hidden = false;
    const first = data.runs.findIndex((run) => run.clips.length > 0);
    fromAddress();
    if (now.run < 0 && first >= 0) go(first, 0);
    window.addEventListener('hashchange', fromAddress);
})();
