import subprocess,random,glob,os
R='/work/shared/rooms/'
rooms={'fit':['rir_01_house_cinema_room','rir_03_house_dining_room','rir_13_warehouse_omni_7_4','rir_18_warehouse_cardioid_7_4','rir_26_studio_genesis6','rir_30_church_standrew','sim_01_studio_speech_1m'],
 'chk':['rir_02_house_kitchen','rir_04_house_dining_living','rir_25_auditorium_rymer','rir_28_church_stmargaret','sim_03_small_concert_hall_speech_2m','sim_05_large_concert_hall_education_4m']}
os.makedirs('/tmp/tn/rr',exist_ok=True)
for s in rooms:
    os.makedirs(f'/tmp/tn/pos/{s}',exist_ok=True)
    for r in rooms[s]: subprocess.run(['sox','-V1',R+r+'.flac','-r','16000','-e','float','-b','32','-t','raw',f'/tmp/tn/rr/{r}'])
i=0
for rnd in range(2):
  for s in ('fit','chk'):
    ps=sorted(glob.glob(f'/tmp/tn/prog/{s}/*.wav')); random.Random(3).shuffle(ps)
    for p in (ps[:20],ps[20:36])[rnd] if s=='fit' else (ps[:14],ps[14:26])[rnd]:
        i+=1
        kind='speech' if os.path.basename(p).startswith('sp') else 'music'
        q='/tmp/tn/rr/prog.raw'
        g=random.Random(i).choice([0,-4,-8])
        subprocess.run(['sox','-V1',p,'-r','16000','-e','signed','-b','16','-t','raw',q,'norm','%d'%(-3+g)])
        rm=random.Random(i*7).choice(rooms[s]); D=random.Random(i*5).choice([40,100,250])
        o=f'/tmp/tn/pos/{s}/{kind}_{i:03}'
        t=subprocess.run(['/tmp/tn/loop','/tmp/tn/rr/'+rm,q,str(D),o+'.wav'],capture_output=True,text=True).stdout
        open(o+'.csv','w').write(t)
        print(o,rm,D,t.split()[1],flush=True)
