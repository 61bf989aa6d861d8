// sdump FILES(wav via sndfile-less raw: 16 bit mono wav) -> rows float: file,scale,track,time,freq,looks, measures
#include <cstdio>
#include <vector>
#include <cstring>
#include "core/scales.h"
#include "core/standing.h"
using namespace brink::core;
int main(int c,char**v){ for(int a=1;a<c;a++){ FILE*fp=fopen(v[a],"rb"); char hd[44]; fread(hd,1,44,fp); int rate; memcpy(&rate,hd+24,4); std::vector<short> s(1<<23); size_t n=fread(s.data(),2,s.size(),fp); fclose(fp);
 Scales sc(rate); Standing st; int hop=sc.hop_samples(); std::vector<float> b(hop);
 for(size_t at=0,h=0;at+hop<=n;at+=hop,h++){ for(int i=0;i<hop;i++) b[i]=s[at+i]/32768.f; sc.advance(b); st.gather(sc.all()); if(h%9) continue;
  for(size_t k=0;k<sc.all().size();k++) for(Track*t:sc.all()[k].tracks.live()) if(auto l=st.line_of(sc.all()[k],*t)){ float r[6]={float(a-1),float(k),float(t->id),float((at+hop)/double(rate)),t->frequency_hz,float(l->looks)}; fwrite(r,4,6,stdout); fwrite(l->measures.data(),4,l->measures.size(),stdout);} } } }
