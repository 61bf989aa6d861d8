#!/usr/bin/env python3
"""Judges a detector on material that material.py made: per folder, the whole trade, and the confidences. Needs python3 alone.

  judge.py --brink PROGRAM [--material DIR [--half a]] [DIR...]

prints the tables of docs/validation.md for these folders. With --criterion 'fep --threshold 0.7' (PROGRAM is then brink_criterion, of
tests/bench/literature) it judges a published criterion on them, as tests/corpus/literature.py does on the labelled recordings.

False is a flagged ring near no label and near nothing that came within 3 dB of the brink; found is a labelled ring with a flag from
1 s before the loop is unstable to 1 s after it dominates (as in tests/corpus/recordings.py). A report has no ring that was
withdrawn; live counts these too.
"""
import argparse
import collections
import concurrent.futures
import glob
import json
import math
import os
import subprocess


def near(frequency, reference):
    return abs(frequency - reference) <= max(6.0, .01 * reference)


def on(frequency, label):
    low, high = label.get('range_hz') or [label['frequency_hz']] * 2
    return low - max(6, .01 * low) <= frequency <= high + max(6, .01 * high)


def alarms(looks):
    """Of a criterion, whose rings are looks that fired: those within a twentieth of an octave and a second of each other are one."""
    found = []
    for look in sorted(looks, key=lambda one: one['flagged_s']):
        same = next((one for one in reversed(found) if look['flagged_s'] - one['last_s'] <= 1 and
                     abs(math.log2(look['frequency_hz'] / one['frequency_hz'])) <= .05), None)
        if same:
            same['last_s'] = look['flagged_s']
        else:
            found.append({**look, 'last_s': look['flagged_s'], 'confidence': 1.0})
    return found


def analyse(command, folder):
    truth = json.load(open(os.path.join(folder, 'truth.json')))
    by_name = {clip['clip']: clip for clip in truth}
    names, found = list(by_name), []
    at_once = 1 if '--criterion' in command else 20
    for i in range(0, len(names), at_once):
        run = subprocess.run([*command, *(os.path.join(folder, name) for name in names[i:i + at_once])],
                             capture_output=True, text=True)
        for line in run.stdout.splitlines():
            result = json.loads(line)
            name = os.path.basename(result['file'])
            clip = by_name[name]
            rings = result['rings'] if 'withdrawn' in result else alarms(result['rings'])
            found.append((clip, rings, result.get('withdrawn', []), clip['duration_s']))
    return found


def judged(clips):
    """What a report keeps as (verdict, confidence, ring, clip), the verdicts on what was withdrawn, and for each label the
    confidences of its good flags."""
    flags, withdrawn, labels = [], [], []
    for clip, rings, taken_back, _ in clips:
        for label in clip['rings']:
            mine = [r for r in rings + taken_back if on(r['frequency_hz'], label) and
                    label['unstable_s'] - 1 <= r['flagged_s'] <= label['dominant_s'] + 1]
            labels.append((max((r['confidence'] for r in mine), default=None),
                           min((r['flagged_s'] for r in mine), default=0) - label['dominant_s']))
        flags += [(verdict(ring, clip), ring['confidence'], ring, clip['clip']) for ring in rings]
        withdrawn += [verdict(ring, clip) for ring in taken_back]
    return flags, withdrawn, labels


def verdict(ring, clip):
    if any(on(ring['frequency_hz'], label) and ring['flagged_s'] >= label['unstable_s'] - 1 for label in clip['rings']):
        return 'right'
    is_known = any(on(ring['frequency_hz'], label) for label in clip['rings'])
    return 'brink' if is_known or any(near(ring['frequency_hz'], hz) for hz in clip['near_brink_hz']) else 'wrong'


def in_words(wrong, withdrawn, minutes):
    live = len(wrong) + withdrawn.count('wrong')
    return (f'{live} | {live / minutes:.2f} | {len(wrong)} | {len(wrong) / minutes * 60:.1f} | '
            f'{sum(flag[1] >= .9 for flag in wrong)} |')


def work():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument('--brink', required=True)
    parser.add_argument('--list', action='store_true', help='also every false flag')
    parser.add_argument('--json', help='keep everything that was flagged here')
    parser.add_argument('--criterion', help='judge a published criterion, with its options')
    parser.add_argument('--sure', default='0', help='as of brink analyse')
    parser.add_argument('--material', help='every folder that material.py made there')
    parser.add_argument('--half', default='*', help='of the material: a or b')
    parser.add_argument('folders', nargs='*')
    options = parser.parse_args()
    if options.material:
        options.folders += [os.path.dirname(path) for path in sorted(glob.glob(f'{options.material}/{options.half}/*/truth.json'))]
    command = [options.brink, 'analyse', '--quiet', '--format', 'json']
    if options.criterion:
        command = [options.brink, '--criterion', *options.criterion.split()]
    if float(options.sure) > 0:
        command += ['--sure', options.sure]
    everything, all_withdrawn, all_labels, all_minutes = [], [], [], 0
    print('| folder | minutes | rings | recall | delay median, s | delay 95 %, s | false live | a minute | in a report | an hour | over 0.9 |')
    print('|---' * 11 + '|')
    with concurrent.futures.ThreadPoolExecutor(2) as pool:
        results = list(pool.map(lambda folder: analyse(command, folder), options.folders))
    for folder, clips in zip(options.folders, results):
        flags, withdrawn, labels = judged(clips)
        minutes = sum(clip[3] for clip in clips) / 60
        wrong = [flag for flag in flags if flag[0] == 'wrong']
        delays = sorted(delay for confidence, delay in labels if confidence is not None)
        recall = f'{len(delays) / len(labels):.3f}' if labels else '-'
        show = [f'{delays[min(len(delays) - 1, int(share * len(delays)))]:.2f}' if delays else '-' for share in (.5, .95)]
        print(f'| {"/".join(folder.rstrip("/").split("/")[-2:])} | {minutes:.1f} | {len(labels)} | {recall} | {show[0]} | {show[1]} | '
              f'{in_words(wrong, withdrawn, minutes)}', flush=True)
        if options.list:
            for _, confidence, ring, clip in wrong:
                print('   ', clip, ring['frequency_hz'], ring['flagged_s'], ring.get('ended_s'), 'growth', ring['growth_db_per_s'], 'peak', ring['peak_dbfs'], confidence)
        everything += flags
        all_withdrawn += withdrawn
        all_labels += labels
        all_minutes += minutes
    wrong = [flag for flag in everything if flag[0] == 'wrong']
    print(f'| all | {all_minutes:.1f} | {len(all_labels)} | | | | {in_words(wrong, all_withdrawn, all_minutes)}')
    print('\n| at least so sure | recall | false an hour |\n|---|---|---|')
    for sure in (0, .3, .4, .5, .6, .7, .8, .85, .9, .93, .95, .97, .98, .99):
        recall = sum(c is not None and c >= sure for c, _ in all_labels) / max(1, len(all_labels))
        print(f'| {sure:g} | {recall:.3f} | {sum(flag[1] >= sure for flag in wrong) / all_minutes * 60:.2f} |')
    print('\n| confidence | right | at the brink | wrong | share right |\n|---|---|---|---|---|')
    tenths = collections.defaultdict(collections.Counter)
    for verdict, confidence, _, _ in everything:
        tenths[min(9, int(confidence * 10 + 1e-9))][verdict] += 1
    for tenth, count in sorted(tenths.items()):
        known = count['right'] + count['wrong']
        print(f'| {tenth / 10:.1f} to {tenth / 10 + .1:.1f} | {count["right"]} | {count["brink"]} | {count["wrong"]} | '
              f'{count["right"] / known if known else float("nan"):.2f} |')
    if options.json:
        json.dump(everything, open(options.json, 'w'))


if __name__ == '__main__':
    work()
