#!/usr/bin/env python3
"""fit standing table. usage fit.py"""
import subprocess,glob,csv,sys,json
import numpy as np
K=17;P=6
SKIP=[16]
def rows(files):
    raw=subprocess.run(['/tmp/tn/sdump']+files,stdout=subprocess.PIPE,check=True).stdout
    return np.frombuffer(raw,'f4').reshape(-1,6+K)
def posrows(d):
    fs=sorted(glob.glob(d+'/*.wav')); fs=[f for f in fs if glob.glob(f[:-4]+'.csv')]
    R=rows(fs); y=np.full(len(R),-1)
    for i,f in enumerate(fs):
        fr=float(list(csv.reader(open(f[:-4]+'.csv')))[1][-1])
        h=R[:,0]==i
        tr=f[:-4]+'.truth.json'
        near=[x['frequency_hz'] for x in json.load(open(tr))['near_brink']] if glob.glob(tr) else [fr]
        on=np.abs(R[:,4]-fr)<np.where(R[:,1]==0,2,4)
        nb=np.min(np.abs(R[:,4][:,None]-np.array(near+[fr])[None,:]),axis=1)<12
        y[h&on&(R[:,3]>9.2)]=1
        y[h&~nb]=0
    return R,y,fs
def hats(v,p):
    return np.stack([np.interp(v,p,e) for e in np.eye(len(p))],1).astype('f4')
def design(M,pts): return np.concatenate([hats(M[:,k],pts[k]) for k in range(K)],1)
if __name__=='__main__':
    NC=sorted(glob.glob('/tmp/tn/negc/*.wav')); NF=sorted(glob.glob('/tmp/tn/neg/fit/*.wav'))
    R,y,fs=posrows('/tmp/tn/pos/fit'); print(len(fs),'pos clips',(y==1).sum(),(y==0).sum())
    N=rows(NF+NC); N=N[N[:,5]>=60]; ton=N[:,0]>=len(NF)+16; k=R[:,5]>=60; R=R[k]; y=y[k]; print('neg rows',len(N))
    w1=np.ones(len(R)); 
    # equal weight a clip among the positives
    for i in range(len(fs)):
        h=(R[:,0]==i)&(y==1)
        if h.any(): w1[h]=1/h.sum()
    np.savez('/tmp/tn/rows.npz',R=R,y=y,N=N)
    X=np.concatenate([R[y==1],R[y==0],N]); Y=np.r_[np.ones((y==1).sum()),np.zeros((y==0).sum()+len(N))]
    w=np.r_[w1[y==1],np.ones((y==0).sum()),np.where(ton,8,1)]
    w[Y==1]*= .25*len(N)/w[Y==1].sum()
    w*=1e5/w.sum()
    M=X[:,6:]
    pts=[]
    for k in range(K):
        p=np.unique(np.round(np.r_[np.quantile(M[Y==1,k],[.03,.35,.65,.97]),np.quantile(M[Y==0,k],[.03,.5,.97])],3))
        p=p[np.r_[True,np.diff(p)>.02*(p[-1]-p[0]+1e-6)]] if len(p)>1 else np.r_[p,p+1]
        pts.append(p)
    M=M.copy(); M[:,16]=0; pts[16]=np.array([0.,1.])
    D=design(M,pts).astype('f8'); D=np.c_[D,np.ones(len(D))]
    b=np.zeros(D.shape[1]); lam=20.0
    for it in range(25):
        z=D@b; pr=1/(1+np.exp(-z)); g=D.T@(w*(pr-Y)); g[:-1]+=lam*b[:-1]
        H=(D*(w*pr*(1-pr))[:,None]).T@D; H[np.arange(len(b)-1),np.arange(len(b)-1)]+=lam; H[-1,-1]+=1e-6
        s=np.linalg.solve(H,g); b-=s
        if np.abs(s).max()<1e-4: break
    # second pass: the easy ones count little
    z=D@b
    w2=w*np.where((Y==0)&(z<-2.5),.05,1); w2[Y==1]*=.3*w2[Y==0].sum()/w2[Y==1].sum(); w=w2*1e5/w2.sum()
    for it in range(12):
        z=D@b; pr=1/(1+np.exp(-z)); g=D.T@(w*(pr-Y)); g[:-1]+=lam*b[:-1]
        H=(D*(w*pr*(1-pr))[:,None]).T@D; H[np.arange(len(b)-1),np.arange(len(b)-1)]+=lam; H[-1,-1]+=1e-6
        b-=np.linalg.solve(H,g)
    z=D@b
    for t in (0,1,2,3): print(t,'pos>t',(np.average(z[Y==1]>t,weights=w[Y==1])).round(3),'neg',(z[Y==0]>t).sum(),'tones',(z[len(z)-len(N):][ton]>t).sum())
    print('pos z quantiles',np.quantile(z[Y==1],[.1,.25,.5,.75,.9]).round(2),'neg',np.quantile(z[Y==0],[.5,.9,.99,.999,.9999]).round(2),z[Y==0].max())
    np.savez('/tmp/tn/model.npz',b=b,n=np.array([len(p) for p in pts]),p=np.concatenate(pts))
    fl=lambda v:', '.join(f'{float(x):.3f}F' for x in v)
    o=['// Fitted numbers of standing lines; written by tests/bench/standing/fit.py, not by hand.',f'constexpr float kStandingPrior = {b[-1]:.3f}F;',f'constexpr std::array<StandingTable, {K}> kStandingTables{{{{']
    at=0
    for p in pts:
        v=b[at:at+len(p)]; at+=len(p)
        p7=np.r_[p,np.full(7-len(p),p[-1])]; v7=np.r_[v,np.full(7-len(p),v[-1])]
        o.append('    {{{%s}},'%fl(p7)); o.append('     {{%s}}},'%fl(v7))
    o.append('}};')
    open('/tmp/tn/standing_table.inc','w').write('\n'.join(o)+'\n')
