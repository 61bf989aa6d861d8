#!/usr/bin/env python3
"""Makes the material that the rules of evidence are fitted to and judged on: labelled clips, from sounds that anybody can have.

  material.py --brink PROGRAM --into DIR [--rooms DIR] [--scale SHARE] [--jobs N]

DIR/a and DIR/b are the two halves, each with a folder for every package, for synthetic programme (synthetic.py) and for scenes
in a loop, and in each folder a truth.json as `brink stage` writes it. What exists is kept, so a broken run goes on. Packages and
halves: packages.txt. Needs apt-get, dpkg-deb, ffmpeg, fluidsynth and python3-numpy. --rooms: measured impulse responses, half of
them for each half; without, all rooms are simulated. --scale: less of everything, for a trial.
"""
import argparse
import glob
import json
import multiprocessing
import os
import random
import subprocess
import wave
import zlib

import synthetic

HERE = os.path.dirname(os.path.abspath(__file__))
SOUNDS = ('.ogg', '.wav', '.mp3', '.opus', '.flac', '.oga')
RATE = 48000
TRACK_S = 240          # of one piece of music at most
LONG_S = 20            # a shorter sound is no piece of music
CLIP_S = 60            # short sounds are put together to this length
MOST_QUIETER_DB = 24   # clips are turned down by up to this, so that the rules do not learn how music is mastered


def packages():
    for line in open(os.path.join(HERE, 'packages.txt')):
        words = line.split('#')[0].split()
        if words:
            yield words[0], words[1], words[2], float(words[3])


def seeded(*words):
    return random.Random(zlib.crc32(' '.join(map(str, words)).encode()))


def run(command, **options):
    return subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, **options)


def unpacked(package, into):
    """The folder of the package's files; downloads it when it is not there."""
    folder = os.path.join(into, 'packages', package)
    if not os.path.isdir(folder):
        os.makedirs(folder + '.part', exist_ok=True)
        if not glob.glob(os.path.join(into, 'debs', package + '_*.deb')):
            os.makedirs(os.path.join(into, 'debs'), exist_ok=True)
            run(['apt-get', 'download', package], cwd=os.path.join(into, 'debs'))
        packed = glob.glob(os.path.join(into, 'debs', package + '_*.deb'))[0]
        run(['dpkg-deb', '-x', packed, folder + '.part'])
        os.rename(folder + '.part', folder)
    return folder


def rough_length_s(path):
    """Without opening it: speech in these packages has 8 kHz and 16 bit, or about 6 kB/s as Ogg Vorbis."""
    return os.path.getsize(path) / (16e3 if path.endswith('.wav') else 6e3)


def length_s(path):
    if path.endswith('.wav'):
        try:
            with wave.open(path) as sound:
                return sound.getnframes() / sound.getframerate()
        except wave.Error:
            pass
    shown = subprocess.run(['ffprobe', '-v', 'error', '-show_entries', 'format=duration', '-of', 'csv=p=0', path],
                           capture_output=True, text=True).stdout.strip()
    try:
        return float(shown)
    except ValueError:
        return 0.0


def sounds(folder):
    found = [os.path.join(at, name) for at, _, names in os.walk(folder) for name in names
             if name.lower().endswith(SOUNDS) and not os.path.islink(os.path.join(at, name))]
    return sorted(found)


def decode(inputs, output, quieter_db, most_s):
    """Mono, 48 kHz, 16 bit, the inputs one after another."""
    command = ['ffmpeg', '-v', 'error', '-y']
    for path in inputs:
        command += ['-i', path]
    each = ''.join(f'[{i}:a:0]aresample={RATE},aformat=sample_fmts=flt:channel_layouts=mono,apad=pad_dur=0.2[s{i}];'
                   for i in range(len(inputs)))
    joined = ''.join(f'[s{i}]' for i in range(len(inputs)))
    command += ['-filter_complex', f'{each}{joined}concat=n={len(inputs)}:v=0:a=1,volume={-quieter_db:.1f}dB[out]',
                '-map', '[out]', '-t', str(most_s), '-c:a', 'pcm_s16le', output + '.part']
    command[-1:-1] = ['-f', 'wav', '-bitexact']
    run(command)
    os.rename(output + '.part', output)


def write_truth(folder, kind):
    """The truth of clips without a loop: nothing rings."""
    clips = [{'clip': os.path.basename(path), 'kind': kind, 'duration_s': round(length_s(path), 2), 'rings': [], 'near_brink_hz': []}
             for path in sorted(glob.glob(folder + '/*.wav'))]
    json.dump(clips, open(os.path.join(folder, 'truth.json'), 'w'), indent=1)


def cut_package(package, family, folder, most_minutes, into, jobs):
    if os.path.exists(os.path.join(folder, 'truth.json')):
        return
    os.makedirs(folder, exist_ok=True)
    chance = seeded(package)
    found = sounds(unpacked(package, into))
    chance.shuffle(found)
    tasks, left_s = [], most_minutes * 60
    if family == 'music':
        for path in found:
            if left_s <= 0:
                break
            lasts = length_s(path) if os.path.getsize(path) > 150_000 else 0
            if lasts >= LONG_S:
                left_s -= min(lasts, TRACK_S)
                tasks.append([[path], TRACK_S])
    else:
        # A voice (a folder or a language) stays together, as words of one talker follow each other.
        found.sort(key=lambda path: (os.path.dirname(path) if package != 'tuxpaint-stamps-default' else path.rsplit('_', 1)[-1]))
        part, part_s = [], 0
        parts = []
        for path in found:
            lasts = rough_length_s(path)
            part.append(path)
            part_s += lasts + .2
            if part_s >= CLIP_S:
                parts.append(part)
                part, part_s = [], 0
        chance.shuffle(parts)
        tasks = [[part, CLIP_S] for part in parts[:int(most_minutes)]]
    with multiprocessing.Pool(jobs) as pool:
        pool.starmap(decode, [(inputs, os.path.join(folder, f'{number:03}.wav'), chance.uniform(0, MOST_QUIETER_DB), most_s)
                              for number, (inputs, most_s) in enumerate(tasks)])
    write_truth(folder, f'no loop: {family}')


def play(score, font, output, quieter_db):
    run(['fluidsynth', '-ni', '-g', '0.6', '-r', str(RATE), '-T', 'wav', '-F', output + '.played', font, score])
    decode([output + '.played'], output, quieter_db, 600)
    os.remove(output + '.played')
    os.remove(score)


def play_scores(package, into, scale, jobs):
    """Every instrument of General MIDI, alone and in bands. Instruments of even number go to half a, the others to b."""
    font = [os.path.join(at, name) for at, _, names in os.walk(unpacked(package, into)) for name in names if name.endswith('.sf2')][0]
    for half, first in (('a', 0), ('b', 1)):
        folder = os.path.join(into, half, package)
        if os.path.exists(os.path.join(folder, 'truth.json')):
            continue
        os.makedirs(folder, exist_ok=True)
        tasks = []
        for program in range(first, 128, max(2, int(2 / scale))):
            chance = seeded('solo', program)
            score = os.path.join(folder, f'solo{program:03}.mid')
            synthetic.write_solo(score, program, chance)
            tasks.append((score, font, score[:-4] + '.wav', chance.uniform(0, MOST_QUIETER_DB)))
        for number in range(int(16 * scale) or 1):
            chance = seeded('band', half, number)
            score = os.path.join(folder, f'band{number:03}.mid')
            synthetic.write_band(score, list(range(first, 128, 2)), chance)
            tasks.append((score, font, score[:-4] + '.wav', chance.uniform(0, MOST_QUIETER_DB)))
        with multiprocessing.Pool(jobs) as pool:
            pool.starmap(play, tasks)
        write_truth(folder, 'no loop: sound font')


def synthesise(into, scale):
    for half in 'ab':
        folder = os.path.join(into, half, 'synthetic')
        if os.path.exists(os.path.join(folder, 'truth.json')):
            continue
        os.makedirs(folder, exist_ok=True)
        synthetic.write_clips(folder, seed=1 if half == 'a' else 2, scale=scale)
        write_truth(folder, 'no loop: synthetic')


def excerpt(into, half, chance, seconds, name):
    """Some seconds of that half's programme, from anywhere in it."""
    folders = sorted(f for f in glob.glob(f'{into}/{half}/*/') if os.path.basename(f[:-1]) not in FOLDERS.values() and glob.glob(f + '*.wav'))
    weights = [3 if 'asterisk' in f or 'klettres' in f or 'tuxpaint' in f else 2 for f in folders]
    clip = chance.choice(sorted(glob.glob(chance.choices(folders, weights)[0] + '*.wav')))
    with wave.open(clip) as sound, wave.open(name, 'wb') as part:
        start = chance.uniform(0, max(0.0, sound.getnframes() / RATE - seconds))
        sound.setpos(int(start * RATE))
        part.setparams(sound.getparams())
        part.writeframes(sound.readframes(seconds * RATE))
    return name


def describe_stage(chance, rooms, programme, seconds):
    """Options of `brink stage` for a room, its microphone and its programme."""
    options = ['--sample-rate', RATE, '--seed', chance.randrange(1, 100000), '--length', seconds]
    if rooms and chance.random() < .5:
        options += ['--room', chance.choice(rooms)]
    else:
        sides = [chance.uniform(5, 25), chance.uniform(4, 15), chance.uniform(2.6, 8)]
        options += ['--room-size', 'x'.join(f'{side:.1f}' for side in sides), '--t60', f'{chance.uniform(.3, 1.8):.2f}',
                    '--distance', f'{chance.uniform(.6, 3.5):.2f}' if chance.random() < .8 else f'{min(sides) * .8:.2f}',
                    '--angle', chance.randrange(40, 181, 10), '--pattern', chance.choice(['omni', 'cardioid', 'cardioid', 'supercardioid', 'figure-eight'])]
    options += ['--console-delay', f'{chance.uniform(.7, 4):.2f}', '--limit', chance.choice([-1, -3, -6, -6, -9, -12, -18]),
                '--noise-floor', chance.choice([-90, -78, -70, -62])]
    options += ['--programme', programme]
    if programme != 'silence':
        options += ['--level', f'{chance.uniform(-42, -18):.1f}']
    return options


def describe_scene(chance, rooms, programme, seconds):
    """Options of `brink stage`: a loop below, at or above its brink, with faders and microphones that stand or move."""
    options = describe_stage(chance, rooms, programme, seconds)
    story = chance.choices(['creep', 'jump', 'stand', 'steps', 'below', 'swing', 'walk', 'cut'], [5, 3, 2, 2, 3, 1.5, 1.5, 1.5])[0]
    start, end = chance.uniform(-9, -3), chance.choice([chance.uniform(0, 1), chance.uniform(.3, 3), chance.uniform(1, 6)])
    begin = chance.uniform(.5, seconds * .4)
    if story == 'creep':
        options += [f'--gain={start:.2f}:{end:.2f}', '--ramp', f'{begin:.1f}:{chance.uniform(begin + 1, seconds - 1):.1f}']
    elif story == 'jump':
        options += [f'--gain={start:.2f}:{end:.2f}', '--ramp', f'{begin:.1f}:{begin + .2:.1f}']
    elif story == 'stand':
        options += [f'--gain={start:.2f}:{chance.uniform(-.3, .2):.2f}', '--ramp', f'{begin:.1f}:{begin + 2:.1f}']
    elif story == 'steps':
        options += [f'--gain={start:.2f}:{end:.2f}', '--ramp', f'{begin:.1f}:{seconds - 2:.1f}', '--steps', chance.randrange(2, 9)]
    elif story == 'below':
        level = chance.uniform(-10, -1)
        options += [f'--gain={level:.2f}:{level:.2f}', '--ramp', '0:1']
    elif story == 'swing':
        level = chance.uniform(-6, -1)
        options += [f'--gain={level:.2f}:{level:.2f}', '--ramp', '0:1', '--swing', f'{begin + 1:.1f}', '--swing-back', f'{seconds - 3:.1f}',
                    f'--swing-over={chance.uniform(1, 6) - level:.1f}']
    elif story == 'walk':
        options += [f'--gain={start:.2f}:{end:.2f}', '--ramp', f'{begin:.1f}:{begin + 3:.1f}',
                    '--walk', f'{begin + 1:.1f}:{seconds - 1:.1f}', '--walk-by', f'{chance.uniform(.01, .08):.3f}']
    else:
        options += [f'--gain={start:.2f}:{end:.2f}', '--ramp', f'{begin:.1f}:{begin + 3:.1f}',
                    '--cut', f'{chance.uniform(300, 5000):.0f},{chance.uniform(2, 12):.1f},-6', '--cut-at', f'{seconds - 4:.1f}']
    return story, options


def describe_brink(chance, rooms, programme, seconds):
    """A loop that stands exactly at its brink from the fourth second on: its tone neither grows nor ends."""
    return 'at the brink', describe_stage(chance, rooms, programme, seconds) + [
        f'--gain=-6:{chance.uniform(-.03, .01):.3f}', '--ramp', '3:4']


def render_scene(task):
    brink, rooms, into, half, kind_of_scene, number = task
    chance = seeded(kind_of_scene, half, number)
    folder = os.path.join(into, half, FOLDERS[kind_of_scene])
    seconds = chance.randrange(12, 26)
    output = os.path.join(folder, f'{kind_of_scene}{number:04}.wav')
    part = output[:-4] + '.programme'
    kind = chance.choices(['package', 'silence', 'pink'], [8, 2, .5])[0]
    programme = excerpt(into, half, chance, seconds, part) if kind == 'package' else kind
    for _ in range(4):   # some rooms cannot hold what was drawn (a wedge outside its room)
        describe = describe_scene if kind_of_scene == 'scene' else describe_brink
        story, options = describe(chance, rooms, programme, seconds)
        done = subprocess.run([brink, 'stage', '--output', output, '--format', 'json', *map(str, options)], capture_output=True, text=True)
        if done.returncode == 0:
            break
    else:
        print(done.stderr, options)
    if os.path.exists(part):
        os.remove(part)
    if done.returncode:
        return None
    truth = json.loads(done.stdout)
    truth['clip'], truth['kind'] = os.path.basename(output), f'{"ring" if truth["rings"] else "loop"}: {story}, {kind}'
    truth['options'] = ' '.join(map(str, options))
    return truth


FOLDERS = {'scene': 'scenes', 'brink': 'brink'}


def render_scenes(brink, rooms, into, half, kind, count, jobs):
    folder = os.path.join(into, half, FOLDERS[kind])
    if os.path.exists(os.path.join(folder, 'truth.json')):
        return
    os.makedirs(folder, exist_ok=True)
    with multiprocessing.Pool(jobs) as pool:
        truth = [clip for clip in pool.imap(render_scene, [(brink, rooms, into, half, kind, n) for n in range(count)]) if clip]
    json.dump(truth, open(os.path.join(folder, 'truth.json'), 'w'), indent=1)


def work():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument('--brink', required=True)
    parser.add_argument('--into', required=True)
    parser.add_argument('--rooms')
    parser.add_argument('--scale', type=float, default=1.0)
    parser.add_argument('--jobs', type=int, default=2)
    parser.add_argument('--only', help='one package, synthetic, scenes or brink')
    parser.add_argument('--scenes', type=int, default=500, help='of each kind in each half')
    options = parser.parse_args()
    into = os.path.abspath(options.into)
    for package, family, half, most in packages():
        if options.only not in (None, package):
            continue
        print(package, flush=True)
        if family == 'soundfont':
            play_scores(package, into, options.scale, options.jobs)
        else:
            cut_package(package, family, os.path.join(into, half, package), most * options.scale, into, options.jobs)
    if options.only in (None, 'synthetic'):
        synthesise(into, options.scale)
    rooms = sorted(glob.glob(os.path.join(options.rooms, '*.flac'))) if options.rooms else []
    for kind, folder in FOLDERS.items():
        if options.only in (None, folder):
            for half, first in (('a', 0), ('b', 1)):
                print(folder, half, flush=True)
                render_scenes(options.brink, rooms[first::2], into, half, kind, int(options.scenes * options.scale), options.jobs)


if __name__ == '__main__':
    work()
