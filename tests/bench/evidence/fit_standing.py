#!/usr/bin/env python3
"""Fits the numbers of standing lines (src/detector/standing_table.inc) to the material of material.py.

  fit_standing.py --lines build/dev/tests/bench/standing_lines --output src/detector/standing_table.inc --material DIR [--half a]

Every line that stands is a row (standing_lines.cpp). In the scenes of DIR/*/brink it is a ring if it is at the frequency that
comes nearest to the brink, some seconds after the fader got there, and left out if it is at another that came within 3 dB of the
brink. Everything else that stands is programme. The model is logistic regression on one table for each measure, linear between
its points. It is fitted twice: the second time, programme that the first fit finds easy counts little, so that the numbers are
spent on what could be taken for a ring. Needs python3-numpy and python3-sklearn.
"""
import argparse
import glob
import json
import os
import re
import subprocess

import numpy as np
from sklearn.linear_model import LogisticRegression

from fit import hats, near

POINTS = 7
AT_THE_BRINK_S = 5.5     # the fader is there after 4 s, and the shortest line lasts for a second
LEVEL = 'level, dBFS'    # brink judges no line by how loud it was recorded
MOST_NO = 240_000
PENALTY = .03            # C of the regression
SHARE_OF_YES = .25       # weight of all rings beside that of all programme; sets where 0 lies
EASY, EASY_WEIGHT = -2.5, .05
SOURCES = os.path.join(os.path.dirname(os.path.abspath(__file__)), '../../../src/detector')


def names(source, array):
    text = open(os.path.join(SOURCES, source)).read().split(array + '{')[1].split('};')[0]
    return re.findall(r'"([^"]*)"', text)


STANDING = names('standing.cpp', 'kStandingMeasureNames')
LONG = names('long_window.cpp', 'kLongMeasureNames')
FIXED = 3                        # columns before the measures
HAS_LONG = len(STANDING)         # of the columns after these: 1 where the long window has a line


def rows_of(program, folder, clips):
    paths = [os.path.join(folder, clip['clip']) for clip in clips]
    raw = subprocess.run([program, *paths], check=True, stdout=subprocess.PIPE).stdout
    return np.frombuffer(raw, 'f4').reshape(-1, FIXED + len(STANDING) + 1 + len(LONG))


def label(rows, clips):
    """1 a ring, 0 programme, -1 left out; and which ring."""
    is_ring, number = np.zeros(len(rows), 'i1'), np.full(len(rows), -1)
    for i, clip in enumerate(clips):
        mine = rows[:, 0] == i
        known = clip['near_brink_hz'] + [ring['frequency_hz'] for ring in clip['rings']]
        for reference in known:
            is_ring[mine & near(rows[:, 2], reference)] = -1
        if not clip['kind'].split(': ')[-1].startswith('at the brink'):
            continue
        nearest = max(clip['near_brink'], key=lambda place: place['highest_db'])['frequency_hz']
        on = mine & (np.abs(rows[:, 2] - nearest) < 4) & (rows[:, 1] > AT_THE_BRINK_S)
        is_ring[on], number[on] = 1, i
    return is_ring, number


def gather(args):
    rows, is_ring, weights = [], [], []
    for path in sorted(glob.glob(f'{args.material}/{args.half}/*/truth.json')):
        folder = os.path.dirname(path)
        clips = json.load(open(path))
        kept = args.keep and os.path.join(args.keep, folder.strip('/').replace('/', '_') + '.npy')
        if kept and os.path.exists(kept):
            found = np.load(kept)
        else:
            found = rows_of(args.lines, folder, clips)
            if kept:
                np.save(kept, found)
        answer, number = label(found, clips)
        no, yes = np.flatnonzero(answer == 0), np.flatnonzero(answer == 1)
        weight = np.ones(len(found))
        each = np.bincount(number[yes], minlength=len(clips))
        weight[yes] = 1 / each[number[yes]] if len(yes) else []
        rows.append(found[np.concatenate([no, yes])][:, FIXED:])
        is_ring.append(answer[np.concatenate([no, yes])])
        weights.append(weight[np.concatenate([no, yes])])
        print(f'{folder}: {len(no)} lines of programme, {len(yes)} on {np.sum(each > 0)} rings', flush=True)
    rows, is_ring, weight = (np.concatenate(column) for column in (rows, is_ring, weights))
    no, yes = np.flatnonzero(is_ring == 0), np.flatnonzero(is_ring == 1)
    return rows, is_ring, weight, no, yes


def scaled(weight, answer):
    """All rings together weigh SHARE_OF_YES of all programme; in all a million."""
    weight = weight.copy()
    weight[answer == 1] *= SHARE_OF_YES * weight[answer == 0].sum() / weight[answer == 1].sum()
    return weight * 1e6 / weight.sum()


def points_of(ring, programme):
    """Where a measure's table has its points: where its values are, of both."""
    found = np.unique(np.round(np.r_[np.quantile(ring, [.03, .35, .65, .97]), np.quantile(programme, [.03, .5, .97])], 3))
    apart = np.r_[True, np.diff(found) > .02 * (found[-1] - found[0])]
    return found[apart] if len(found) > 1 else np.array([found[0], found[0] + 1])


def fit(args):
    random = np.random.default_rng(1)
    rows, answer, weight, no, yes = gather(args)
    if len(no) > MOST_NO:
        no = random.choice(no, MOST_NO, replace=False)
    index = np.concatenate([no, yes])
    rows, answer, weight = rows[index].copy(), answer[index], weight[index]
    rows[:, STANDING.index(LEVEL)] = 0
    has_long = rows[:, HAS_LONG] == 1
    always = [(column, np.ones(len(rows), bool)) for column in rows[:, :HAS_LONG].T]
    seldom = [(column, has_long) for column in rows[:, HAS_LONG + 1:].T]
    points, columns = [], []
    for column, is_there in always + seldom:
        at = points_of(column[is_there & (answer == 1)], column[is_there & (answer == 0)])
        points.append(at)
        columns.append(hats(column, at) * is_there[:, None])
    columns = np.concatenate([*columns, ~has_long[:, None]], axis=1)
    for _ in range(2):
        model = LogisticRegression(C=PENALTY, max_iter=300).fit(columns, answer, scaled(weight, answer))
        odds = columns @ model.coef_[0] + model.intercept_[0]
        weight = np.where((answer == 0) & (odds < EASY), EASY_WEIGHT, weight)
    for least in (-.5, 0, .6, 1, 2):
        print(f'beyond {least}: {np.average(odds[answer == 1] > least, weights=weight[answer == 1]):.3f} of the rings, '
              f'{np.mean(odds[answer == 0] > least):.5f} of programme')
    write(args.output, points, model)


def write(path, points, model):
    def floats(values):
        return ', '.join(f'{float(value):.3f}F' for value in values)

    out = ['// Fitted numbers of standing lines; written by tests/bench/evidence/fit_standing.py, not by hand.',
           f'constexpr float kStandingPrior = {model.intercept_[0]:.3f}F;',
           f'constexpr float kNoLongLine = {model.coef_[0][-1]:.3f}F;']
    values = np.split(model.coef_[0][:-1], np.cumsum([len(at) for at in points])[:-1])
    for name, first, count in (('kStandingTables', 0, len(STANDING)), ('kLongTables', len(STANDING), len(LONG))):
        out.append(f'constexpr std::array<StandingTable, {count}> {name}{{{{')
        for at, value in zip(points[first:first + count], values[first:first + count]):
            missing = (0, POINTS - len(at))
            out += ['    {{{' + floats(np.pad(at, missing, mode='edge')) + '}},',
                    '     {{' + floats(np.pad(value, missing, mode='edge')) + '}}},']
        out.append('}};')
    open(path, 'w').write('\n'.join(out) + '\n')


if __name__ == '__main__':
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument('--lines', required=True, help='the program standing_lines')
    parser.add_argument('--output', required=True, help='the table to write')
    parser.add_argument('--material', required=True, help='every folder that material.py made there')
    parser.add_argument('--half', default='*', help='of the material: a or b')
    parser.add_argument('--keep', help='where rows are kept between trials')
    fit(parser.parse_args())
