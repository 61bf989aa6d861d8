// loop RIR.f32(16k) PROG.s16(16k) delay_samples out.wav : loop gain MSG-6 until 8 s, to MSG within 1 s. prints f
#include <cstdio>
#include <cstdlib>
#include <cmath>
#include <complex>
#include <vector>
#include <cstring>
using C=std::complex<double>;
void fft(std::vector<C>&a){size_t n=a.size();for(size_t i=1,j=0;i<n;i++){size_t b=n>>1;for(;j&b;b>>=1)j^=b;j^=b;if(i<j)std::swap(a[i],a[j]);}
 for(size_t l=2;l<=n;l<<=1){C w=std::polar(1.0,-2*M_PI/l);for(size_t i=0;i<n;i+=l){C x=1;for(size_t k=0;k<l/2;k++){C u=a[i+k],v=a[i+k+l/2]*x;a[i+k]=u+v;a[i+k+l/2]=u-v;x*=w;}}}}
int main(int c,char**v){ std::vector<float> h(9000),p(16000*20); FILE*f=fopen(v[1],"rb"); h.resize(fread(h.data(),4,h.size(),f)); fclose(f);
 std::vector<short> s(p.size()); f=fopen(v[2],"rb"); size_t n=fread(s.data(),2,s.size(),f); fclose(f); for(size_t i=0;i<n;i++)p[i]=s[i]/32768.f*0.25f; 
 int D=atoi(v[3]); size_t N=1<<18; std::vector<C>a(N); 
 // loudspeaker: first-order highpass at 90 Hz, lowpass by the rate
 { double r=exp(-2*M_PI*90/16000),x1=0,y=0; for(int k=0;k<2;k++){x1=0;y=0; for(auto&x:h){double in=x; y=r*(y+in-x1); x1=in; x=y;}} }
 for(size_t i=0;i<h.size();i++)a[i+D]=h[i]; fft(a);
 double best=0,bf=0; for(size_t k=N*100/16000;k<N*7000/16000;k++) if(a[k].imag()*a[k+1].imag()<0&&a[k].real()>0){ double t=a[k].imag()/(a[k].imag()-a[k+1].imag()); double g=a[k].real()+t*(a[k+1].real()-a[k].real()); if(g>best){best=g;bf=(k+t)*16000/N;} }
 size_t L=h.size(); std::vector<float> hr(L); for(size_t i=0;i<L;i++)hr[L-1-i]=h[i]/best;
 std::vector<float> u(L+D+p.size(),0.f); std::vector<float> m(p.size());
 for(size_t t=0;t<p.size();t++){ const float*q=&u[t]; float acc[16]={0}; size_t i=0; for(;i+16<=L;i+=16) for(int j=0;j<16;j++)acc[j]+=hr[i+j]*q[i+j]; float e=0; for(int j=0;j<16;j++)e+=acc[j]; for(;i<L;i++)e+=hr[i]*q[i];
  double ts=t/16000.0; double db=ts<8?-6:ts<9?-6+6*(ts-8):0; float g=pow(10,db/20); m[t]=p[t]+e; u[L-1+D+t]=tanhf(g*m[t]*1.0f); if(ts<9) ; }
 // tanh bends nearly nothing below 0.2
 float pk=0; for(float x:m)pk=std::max(pk,std::abs(x)); float sc=pk>0.95f?0.95f/pk:1; f=fopen(v[4],"wb"); unsigned hd[11]={0x46464952,36+unsigned(m.size())*2,0x45564157,0x20746d66,16,0x10001,16000,32000,0x100002,0x61746164,unsigned(m.size())*2}; fwrite(hd,4,11,f); for(float x:m){short y=lrintf(x*sc*32767);fwrite(&y,2,1,f);} fclose(f); printf("x\n%.3f\n",bf); }
